"""The plugin for MkDocs: the extension, and what only MkDocs knows about its pages."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, get_plugin_logger
from mkdocs.structure.pages import Page

from rollstave import TabError
from rollstave.figures import FigureOptions, figure_css
from rollstave_markdown.fences import Settings
from rollstave_markdown.for_python_markdown import RollstaveExtension

_SHEET = "assets/rollstave.css"


class PluginOptions(Config):  # type: ignore[no-untyped-call]  # untyped in MkDocs
    """What ``mkdocs.yml`` may say under ``plugins: - rollstave:``.

    ``strict`` ends the build at the first tab that cannot be engraved; ``mkdocs build --strict``
    does so at its end. ``folder`` is beside ``mkdocs.yml``. ``options`` hold for every block.
    """

    strict = config_options.Type(bool, default=False)
    folder = config_options.Type(str, default=".cache/rollstave")
    options = config_options.Type(str, default="")


class _Extension(RollstaveExtension):
    """The extension with messages that MkDocs counts, and an error that it prints as one."""

    def settings(self) -> Settings:
        return Settings(**self.getConfigs(), log=get_plugin_logger("rollstave"), error=PluginError)


class RollstavePlugin(BasePlugin[PluginOptions]):  # type: ignore[no-untyped-call]
    """Engraves the tabs of a MkDocs site."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Add the extension and the style sheet that all pages share."""
        try:
            FigureOptions().read(self.config.options)
        except TabError as error:
            words = "; ".join(p.message for p in error.problems)
            raise PluginError(f"plugins: rollstave: options: {words}") from None
        home = Path(config.config_file_path or "mkdocs.yml").parent
        self._extension = _Extension(
            strict=self.config.strict,
            folder=str(home / self.config.folder),
            options=self.config.options,
            style=False,
        )
        # MkDocs hands this list to Python-Markdown, which takes extensions as well as names.
        extensions: list[Any] = config.markdown_extensions
        extensions.append(self._extension)
        config.extra_css.append(_SHEET)
        return config

    def on_page_markdown(self, markdown: str, /, *, page: Page, **_: Any) -> None:
        """Tell the extension which page comes, and how many lines of front matter it lost."""
        self._extension.where = page.file.src_uri
        lost = page.file.content_string.count("\n") - markdown.count("\n")
        self._extension.lines_before = max(0, lost)

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Write the style sheet."""
        sheet = Path(config.site_dir) / _SHEET
        sheet.parent.mkdir(parents=True, exist_ok=True)
        sheet.write_text(figure_css(), encoding="utf-8")
