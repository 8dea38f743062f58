"""The picture of a symbol stays with its class, in the file too; what isn't one is refused."""

from __future__ import annotations

import base64
import io
import json

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import Chart, ChartClass, dump_chart, parse_chart
from chartscan.errors import ChartError


def _png(side: int) -> bytes:
    stream = io.BytesIO()
    Image.new("L", (side, side), 200).save(stream, "PNG")
    return stream.getvalue()


def _chart() -> Chart:
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        ChartClass(1, "stitch", None, "symbol 1", picture=_png(8)),
    )
    return Chart(np.array([[0, 1], [1, 1]], dtype=np.int32), classes)


def test_the_picture_of_a_symbol_is_the_same_after_saving_and_loading() -> None:
    chart = _chart()
    back = parse_chart(json.loads(dump_chart(chart)))
    assert back == chart
    assert back.classes[1].picture == _png(8)


@pytest.mark.parametrize(
    "picture",
    [
        "<svg onload=alert(1)>",
        base64.b64encode(b"<html><script>").decode(),
        base64.b64encode(_png(8) + b"\0" * 70_000).decode(),
        7,
    ],
)
def test_a_picture_that_is_no_small_png_is_refused(picture: object) -> None:
    data = json.loads(dump_chart(_chart()))
    data["classes"][1]["picture"] = picture
    with pytest.raises(ChartError, match="picture"):
        parse_chart(data)
