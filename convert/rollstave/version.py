"""The version of rollstave: what ``rollstave.__version__`` says, and pyproject.toml too."""

__version__ = "0.1.0"
