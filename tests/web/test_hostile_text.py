"""Texts, cookies, bodies and pictures made to be misread: each is answered, none is believed.

Cookies: RFC 6265, section 4.2.1 (what a browser sends) and 5.4 (several in one header); browsers
also send names and values outside its grammar, for other programs on one host set them.
"""

from __future__ import annotations

import io
from typing import Any

import httpx
import pytest
from PIL import Image

from truehang.store.files import photo_type
from truehang.web.settings import Settings

NEIGHBOURS = (
    "a=1", 'a="quoted; not"', "a=b=c", "a=[1,2]", 'a={"x":1}', "a:b=1", "a/b=1", "a@b=1", "=bare",
    "bare", "a=", "a=é", "a b=1", "a(1)=2", "a[0]=1", "a=1,2", 'a="', "a=\\", "expires=now",
    "path=/", "a?=1", "a{b}=c",
)  # fmt: skip


def test_another_programs_cookie_locks_nobody_out(served: Any, phone: httpx.Client) -> None:
    name = Settings(made=served.settings.made).cookie
    ours = f"{name}={phone.cookies[name]}"
    with httpx.Client(base_url=served.url, timeout=30) as browser:
        for other in NEIGHBOURS:
            for both in (f"{other}; {ours}", f"{ours}; {other}"):
                answer = browser.get("/api/jobs", headers={"Cookie": both.encode("latin-1")})
                assert answer.status_code == 200, both


@pytest.mark.parametrize("text", ["{0}", "{at:>400000000}", "{at.__class__}", "%s", "{", "a\u2028"])
def test_a_text_is_never_a_pattern(phone: httpx.Client, job: str, text: str) -> None:
    page, token = f"/jobs/{job}/measure", phone.headers["X-CSRF-Token"]
    for field in ("kind", "place", "group", "id", "was"):
        sent = {"kind": "width", "place": "top", "id": "new", "value": "2105", "csrf": token}
        for path in ("reading", "live", "remove"):
            answer = phone.post(f"{page}/{path}", data=sent | {field: text})
            assert answer.status_code < 500, (field, path)
            assert len(answer.content) < 1_000_000
        asked = phone.get(page, params={"kind": "width", "op": "x"} | {field: text})
        assert asked.status_code == 200
        assert len(asked.content) < 1_000_000


@pytest.mark.parametrize("levels", [41, 3_000, 100_000])
def test_deep_json_is_refused_as_a_wrong_field(phone: httpx.Client, job: str, levels: int) -> None:
    lists, maps = "[" * levels + "]" * levels, '{"a":' * levels + "1" + "}" * levels
    json = {"Content-Type": "application/json"}
    for deep in (lists, maps):
        for method, path, body in (
            ("POST", f"/api/jobs/{job}/entries", f'{{"kind":"check","key":"k","value":{deep}}}'),
            ("PATCH", f"/api/jobs/{job}", f'{{"base":1,"path":["note"],"value":{deep}}}'),
            ("PUT", f"/api/jobs/{job}", f'{{"base":1,"document":{{"a":{deep}}}}}'),
        ):
            answer = phone.request(method, path, content=body, headers=json)
            assert answer.status_code == 422, (path, levels)
            assert "levels" in answer.json()["detail"]
    assert phone.post("/api/jobs", json={"text": maps}).status_code == 422
    flat = {"kind": "check", "key": "k", "value": {"a": [[[1]]]}}
    assert phone.post(f"/api/jobs/{job}/entries", json=flat).status_code == 201


def test_a_nul_is_refused_and_what_looks_like_one_is_kept(phone: httpx.Client, job: str) -> None:
    path = f"/api/jobs/{job}/entries"
    entry = {"kind": "check", "key": "k"}
    for value in ("a\0b", {"a\0": 1}, ["\\\0"], {"a": [{"b": "\0"}]}):
        answer = phone.post(path, json=entry | {"value": value})
        assert answer.status_code == 422, value
        assert "NUL" in answer.json()["detail"]
    change = {"base": 1, "path": ["job", "t\0"], "value": "x"}
    assert phone.patch(f"/api/jobs/{job}", json=change).status_code == 422
    kept = phone.post(path, json=entry | {"value": "\\u0000 and \\\\u0000"})
    assert kept.status_code == 201
    assert kept.json()["value"] == "\\u0000 and \\\\u0000"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_an_unfinished_photo_is_refused(phone: httpx.Client, job: str, kind: str) -> None:
    out = io.BytesIO()
    Image.effect_noise((240, 180), 90).convert("RGB").save(out, kind)
    whole, path = out.getvalue(), f"/api/jobs/{job}/photos"

    def status(data: bytes) -> int:
        return phone.post(path, files={"photo": ("a", data, "image/png")}).status_code

    half = len(whole) // 2
    assert [status(data) for data in (b"\0", whole[:half], whole[:-20])] == [415] * 3
    for lost in (half, 60):  # and blank space kept in its place
        assert status(whole[:-lost] + bytes(lost)) == 415
    assert status(whole) == 201
    assert status(whole + b"\0\0") == 201  # cameras write more behind a picture's end


@pytest.mark.parametrize("how", [{"quality": 5}, {"quality": 90, "exif": b"Exif\0\0" + bytes(99)},
                                 {"lossless": True}])  # fmt: skip
@pytest.mark.parametrize("colour", ["black", "white", (17, 99, 201)])
def test_a_whole_picture_of_one_colour_is_taken(how: dict[str, Any], colour: Any) -> None:
    """Hardly anything is coded in one: its end is the likeliest to look blank."""
    out = io.BytesIO()
    Image.new("RGB", (1200, 900), colour).save(out, "WEBP", method=0, **how)
    assert photo_type(out.getvalue()) == "image/webp"
