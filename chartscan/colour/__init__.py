"""Colour science on arrays: sRGB, XYZ, Lab, CIEDE2000 and grades; opens no file.

sRGB values are on the scale 0 to 255 and linear light on the scale 0 to 1; Lab is CIELAB under
D65 for the 2° observer; ΔE is CIEDE2000. Colours lie along the last axis.
"""

from chartscan.colour.adaptation import ILLUMINANTS, check_illuminant, lab_to_d65
from chartscan.colour.difference import Components, ciede2000, ciede2000_matrix, components
from chartscan.colour.direction import DirectionSettings, directions
from chartscan.colour.grading import ACCEPTABLE, DIFFERENT, PERCEPTIBLE, grade, grey_scale
from chartscan.colour.lab import (
    lab_to_linear,
    lab_to_srgb,
    lab_to_xyz,
    linear_to_lab,
    many_to_lab,
    planes_to_lab,
    srgb_to_lab,
    xyz_to_lab,
)
from chartscan.colour.srgb import format_hex, linear_to_srgb, parse_hex, round_rgb, srgb_to_linear

__all__ = [
    "ACCEPTABLE",
    "DIFFERENT",
    "ILLUMINANTS",
    "PERCEPTIBLE",
    "Components",
    "DirectionSettings",
    "check_illuminant",
    "ciede2000",
    "ciede2000_matrix",
    "components",
    "directions",
    "format_hex",
    "grade",
    "grey_scale",
    "lab_to_d65",
    "lab_to_linear",
    "lab_to_srgb",
    "lab_to_xyz",
    "linear_to_lab",
    "linear_to_srgb",
    "many_to_lab",
    "parse_hex",
    "planes_to_lab",
    "round_rgb",
    "srgb_to_lab",
    "srgb_to_linear",
    "xyz_to_lab",
]
