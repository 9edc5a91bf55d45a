"""The page around a tab: bytes to lines, and what mail programs and web pages put around them."""
