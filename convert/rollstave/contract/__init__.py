"""The contract between rollstave and plugins.

``hooks`` says what a plugin may implement, ``offers`` what it gives back, ``manager`` finds the
plugins and keeps a broken one from doing harm. ``assembly`` puts it together with the rooms.
"""
