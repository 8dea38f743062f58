"""``chartscan archive …``: read whole folders of pages, and find charts in them."""
