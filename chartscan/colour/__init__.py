"""Colour science on arrays: sRGB, XYZ, Lab, CIEDE2000 and grades; opens no file."""
