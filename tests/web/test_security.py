"""Nothing is served to whom it does not concern, and nothing is changed by what we did not ask.

What must hold: OWASP Application Security Verification Standard 4.0.3, sections 3.4 (cookies),
4.2.2 (forged requests), 5.1.5 (redirects), 11.1.4 (rates), 12.1 and 12.3 (uploads, paths),
14.4 (headers) and 14.5 (Host); from memory: the section numbers.
"""

from __future__ import annotations

import http.client
import io
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from PIL import Image
from starlette.routing import BaseRoute

from truehang.store import new_code, revoke
from truehang.web.app import create_app


def _picture(kind: str = "PNG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 8), "red").save(out, kind)
    return out.getvalue()


def _paths(routes: list[BaseRoute]) -> set[str]:
    found = set[str]()
    for route in routes:
        found.add(getattr(route, "path", ""))
        found |= _paths(getattr(route, "routes", None) or [])
    return found


def test_an_unpaired_device_sees_the_pairing_page_and_nothing_else(
    serve: Callable[..., Any],
) -> None:
    served = serve(stranger_rate=100_000)
    app = create_app(served.store, served.settings)
    paths = set(app.openapi()["paths"]) | _paths(app.routes) | {"/", "/static/truehang.js"}
    with httpx.Client(base_url=served.url) as stranger:
        for path in sorted(paths):
            address = path.replace("{", "").replace("}", "").replace(":path", "")
            if not address or address in ("/pair", "/trusted"):
                continue
            for method in ("GET", "POST"):
                assert stranger.request(method, address).status_code == 401, address
        assert stranger.get("/pair").status_code == 200
        said = stranger.get("/trusted")  # that it was reached, and nothing else
        assert (said.status_code, said.content) == (204, b"")


def test_a_device_that_was_taken_off_forgets_and_https_stays_https(
    serve: Callable[..., Any],
) -> None:
    served = serve(https=False)
    with served.client() as phone:
        assert "Strict-Transport-Security" not in phone.get("/api/jobs").headers
        page = phone.get("/devices").text
        assert "Are you sure?" in page
        assert "last here" in page
        assert "Clear-Site-Data" not in phone.get("/api/jobs").headers
        revoke(served.store, phone.get("/api/session").json()["device"])
        for path in ("/api/jobs", "/static/truehang.js", "/"):
            gone = phone.get(path, headers={"Accept": "text/html"})
            assert gone.headers["Clear-Site-Data"] == '"cache"'
    with httpx.Client(base_url=served.url) as stranger:
        assert "Clear-Site-Data" not in stranger.get("/api/jobs").headers
    secure = serve(https=True)
    with httpx.Client(base_url=secure.url) as stranger:
        assert stranger.get("/pair").headers["Strict-Transport-Security"] == "max-age=2592000"


def test_a_stranger_with_a_browser_is_sent_to_the_pairing_page(served: Any) -> None:
    with httpx.Client(base_url=served.url, headers={"Accept": "text/html"}) as stranger:
        answer = stranger.get("/jobs")
        assert (answer.status_code, answer.headers["location"]) == (303, "/pair")
        assert "pair" in stranger.get("/pair").text.lower()
        assert stranger.get("/static/pair.css").status_code == 200


def test_a_link_pairs_once(served: Any) -> None:
    code = new_code(served.store)
    with httpx.Client(base_url=served.url) as phone:
        assert phone.get("/pair", params={"code": code}).status_code == 200  # spends nothing
        paired = phone.post("/pair", data={"code": code, "name": "phone"})
        assert paired.status_code == 303
        cookie = paired.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert phone.get("/api/jobs").status_code == 200
    with httpx.Client(base_url=served.url) as thief:
        again = thief.post("/pair", data={"code": code, "name": "thief"})
        assert again.status_code == 400
        assert "set-cookie" not in again.headers
        assert thief.get("/api/jobs").status_code == 401


def test_over_https_the_cookie_is_for_this_host_and_https_alone(serve: Callable[..., Any]) -> None:
    served = serve(https=True)
    with httpx.Client(base_url=served.url) as phone:
        code = new_code(served.store)
        cookie = phone.post("/pair", data={"code": code, "name": "x"}).headers["set-cookie"]
    # RFC 6265bis, __Host- prefix: Secure, Path=/ and no Domain.
    assert cookie.startswith("__Host-")
    assert "; Secure" in cookie
    assert "; Path=/" in cookie
    assert "domain" not in cookie.lower()


def test_a_revoked_device_is_out_at_once(served: Any, phone: httpx.Client) -> None:
    assert phone.get("/api/jobs").status_code == 200
    revoke(served.store, phone.get("/api/session").json()["device"])
    assert phone.get("/api/jobs").status_code == 401


def test_only_its_own_names_are_answered(phone: httpx.Client) -> None:
    for name in ("evil.example", "127.0.0.1.evil.example", "localhost.evil.example:80", "", "["):
        assert phone.get("/api/jobs", headers={"Host": name}).status_code == 421, name
    assert phone.get("/api/jobs", headers={"Host": "LOCALHOST:9"}).status_code == 200


def test_a_change_needs_the_token(phone: httpx.Client, job: str) -> None:
    token = phone.headers.pop("X-CSRF-Token")
    changes = (
        ("POST", f"/api/jobs/{job}/undo"), ("PUT", f"/api/jobs/{job}"),
        ("POST", f"/api/jobs/{job}/photos"), ("POST", "/api/jobs"), ("POST", "/devices/new"),
        ("DELETE", f"/api/devices/{job}"), ("POST", "/jobs/import"),
    )  # fmt: skip
    for method, path in changes:
        assert phone.request(method, path).status_code == 403, path
        for wrong in ("", "x", token[:-1]):
            answer = phone.request(method, path, headers={"X-CSRF-Token": wrong})
            assert answer.status_code == 403, path
    assert phone.post("/devices/new", data={"csrf": token}).status_code == 200
    assert phone.post("/devices/new", data={"csrf": token[::-1]}).status_code == 403


def test_another_devices_token_is_no_good(served: Any, phone: httpx.Client, job: str) -> None:
    with served.client("laptop") as laptop:
        wrong = {"X-CSRF-Token": laptop.headers["X-CSRF-Token"]}
        assert phone.post(f"/api/jobs/{job}/undo", json={}, headers=wrong).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_change_asked_for_by_another_site_is_refused(
    phone: httpx.Client, job: str, headers: dict[str, str]
) -> None:
    path = f"/api/jobs/{job}/entries"
    entry = {"kind": "check", "key": "k", "value": 1}
    assert phone.post(path, json=entry, headers=headers).status_code == 403
    assert phone.get(path).json() == []


def test_too_large_is_cut_off_whether_announced_or_not(served: Any, phone: httpx.Client) -> None:
    assert phone.post("/api/jobs", content=b"x" * 21_100_000).status_code == 413

    def endless() -> Iterator[bytes]:
        for _ in range(400):
            yield b"x" * 65536

    json = {"Content-Type": "application/json"}
    unannounced = phone.post("/api/jobs", content=endless(), headers=json)
    assert unannounced.status_code == 413
    connection = http.client.HTTPConnection(served.url.removeprefix("http://"))
    connection.request("POST", "/api/jobs", b"{}", {"Content-Length": "nonsense"})
    assert connection.getresponse().status in (400, 413)


def test_a_photo_is_known_by_its_content(phone: httpx.Client, job: str) -> None:
    path = f"/api/jobs/{job}/photos"
    page = b"<html><script>alert(1)</script></html>"
    for name, data, kind in (
        ("a.png", page, "image/png"),
        ("a.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "image/svg+xml"),
        ("a.gif", _picture("GIF"), "image/gif"),
        ("a.png", b"", "image/png"),
        ("a.png", _picture()[:20], "image/png"),
    ):
        answer = phone.post(path, files={"photo": (name, data, kind)})
        assert answer.status_code == 415, name
        assert "send" in answer.json()["detail"]
    kept = phone.post(path, files={"photo": ("../../x.html", _picture(), "text/html")})
    assert kept.status_code == 201
    got = phone.get(f"/jobs/{job}/photos/{kept.json()['op']}")
    assert got.headers["content-type"] == "image/png"
    assert got.content == _picture()


def test_no_path_leads_out(served: Any, phone: httpx.Client, job: str) -> None:
    connection = http.client.HTTPConnection(served.url.removeprefix("http://"))
    cookie = "; ".join(f"{c.name}={c.value}" for c in phone.cookies.jar)
    out = "../../../../../../../../etc/passwd"
    coded = out.replace("/", "%2f").replace(".", "%2e")
    digest = "0" * 64
    for place in (
        "/static/", f"/jobs/{job}/issued/1/", f"/jobs/{job}/packs/{digest}/",
        f"/jobs/{job}/photos/", f"/jobs/{job}/packs/", "/jobs/",
    ):  # fmt: skip
        for tail in (out, coded, "/etc/passwd", "..\\..\\secret", "%00"):
            connection.request(
                "GET", (place + tail).replace("\\", "%5c"), headers={"Cookie": cookie}
            )
            answer = connection.getresponse()
            body = answer.read()
            assert answer.status in (404, 422), place + tail
            assert b"root:" not in body


def test_every_answer_carries_the_headers(phone: httpx.Client, job: str) -> None:
    for path in ("/pair", "/", f"/jobs/{job}/job.yaml", "/api/jobs", "/static/offline.js", "/no"):
        headers = phone.get(path).headers
        policy = headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy or policy.startswith("sandbox")
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert headers["x-frame-options"] == "DENY"


def test_guessing_codes_is_slowed_down(serve: Callable[..., Any]) -> None:
    served = serve(pair_rate=3)
    with httpx.Client(base_url=served.url) as thief:
        codes = [thief.post("/pair", data={"code": f"guess{n}"}).status_code for n in range(5)]
        assert codes == [400, 400, 400, 429, 429]
        good = {"code": new_code(served.store), "name": "late"}
        assert thief.post("/pair", data=good).status_code == 429


def test_everyone_has_a_rate(serve: Callable[..., Any]) -> None:
    served = serve(device_rate=5, stranger_rate=4)
    with served.client() as phone:
        codes = [phone.get("/api/jobs").status_code for _ in range(6)]
    assert codes == [200] * 4 + [429] * 2  # one request went for the token
    with httpx.Client(base_url=served.url) as stranger:
        codes = [stranger.get("/api/jobs").status_code for _ in range(6)]
        assert codes == [401] * 4 + [429] * 2


def test_two_devices_never_share_a_name(served: Any) -> None:
    with served.client("tablet") as one, served.client("tablet") as other:
        names = [client.get("/api/session").json()["who"] for client in (one, other)]
    assert names == ["tablet", "tablet 2"]
