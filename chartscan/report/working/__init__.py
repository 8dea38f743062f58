"""The working chart: the chart drawn anew, clean and large, to stitch from."""

from chartscan.report.working.page import working_page, working_sheets
from chartscan.report.working.settings import Paper, WorkingSettings

__all__ = ["Paper", "WorkingSettings", "working_page", "working_sheets"]
