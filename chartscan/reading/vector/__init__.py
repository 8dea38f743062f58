"""Charts in PDFs that draw every cell: read from the paths themselves, without a pixel."""
