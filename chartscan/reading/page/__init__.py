"""The page as upright sRGB pixels, however its file stored them; nothing else decodes a file."""
