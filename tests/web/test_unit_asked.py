"""A file that does not say its unit is asked for it on its own page, and is read anew with all else as it was typed."""

from __future__ import annotations

from tests.part.kinds.carved import Manifold, stl
from tests.web.conftest import Open
from tests.web.test_app import put_in, waited


def test_the_unit_is_said_where_it_is_asked_and_nothing_is_typed_again(app: Open) -> None:
    sent = put_in(app, data=stl(Manifold.cube((30, 20, 10))), name="block.stl", unit="", what="a block")
    first = sent.headers["location"]
    page = waited(app, first)
    assert "does not say its unit" in page
    assert "30 × 20 × 10 millimetre" in page
    assert app.client.post(f"{first}/unit", data={"guard": app.guard, "unit": "ell"}).status_code == 422
    again = app.client.post(f"{first}/unit", data={"guard": app.guard, "unit": "mm"})
    assert again.status_code == 303
    second = again.headers["location"]
    assert second != first
    assert "a block" in app.client.get(second).text
    app.client.post(f"{second}/stop", data={"guard": app.guard})
    assert app.client.post(f"{second}/unit", data={"guard": app.guard, "unit": "mm"}).status_code == 422
