"""The JSON API: a job from nothing to issued papers, writes sent twice, two devices at once."""

from __future__ import annotations

import concurrent.futures
import io
import json
import time
from typing import Any

import httpx
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from PIL import Image
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from truehang import catalogue
from truehang.job import load, starter
from truehang.plan import plan, told

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


def test_a_job_from_nothing_to_its_issued_papers(phone: httpx.Client) -> None:
    head = phone.post("/api/jobs", json={"text": starter()}).json()
    job = head["job"]
    made = phone.get(f"/api/jobs/{job}/plan")
    whole = plan(load(starter()), catalogue.load())
    assert made.json() == json.loads(json.dumps(told(whole.standing, whole)))
    assert made.headers["Content-Encoding"] == "gzip"
    bare = phone.get(f"/api/jobs/{job}/plan", headers={"Accept-Encoding": "identity"})
    assert "Content-Encoding" not in bare.headers
    assert bare.content == made.content
    assert bare.headers["Vary"] == made.headers["Vary"] == "Accept-Encoding"
    begun = phone.post(f"/api/jobs/{job}/pack", json={})
    assert begun.status_code == 202
    assert phone.post(f"/api/jobs/{job}/issued", json={"revision": 1}).status_code == 409
    said = set()
    until = time.monotonic() + 120
    while (far := phone.get(f"/api/jobs/{job}/packs/{begun.json()['digest']}").json())[
        "state"
    ] == "making" and time.monotonic() < until:
        said.add(far["said"])
        time.sleep(0.05)
    assert far["state"] == "ready"
    assert len(said) > 1  # told on the way, not only at the end
    again = phone.post(f"/api/jobs/{job}/pack", json={}).json()
    assert again == far  # made once
    paper = phone.get(f"/jobs/{job}/packs/{far['digest']}/site.pdf")
    assert paper.content.startswith(b"%PDF")
    issued = phone.post(f"/api/jobs/{job}/issued", json={"revision": 1})
    assert issued.status_code == 201
    assert sorted(row["name"] for row in issued.json()) == far["documents"]
    kept = phone.get(f"/jobs/{job}/issued/1/site.pdf")
    assert kept.content == paper.content
    assert kept.headers["cache-control"] == "private, no-cache"  # asked again, each time
    asked = {"If-None-Match": kept.headers["etag"]}
    again_kept = phone.get(f"/jobs/{job}/issued/1/site.pdf", headers=asked)
    assert (again_kept.status_code, again_kept.content) == (304, b"")
    zipped = phone.get(f"/jobs/{job}/issued/1.zip").content
    assert zipped == phone.get(f"/jobs/{job}/issued/1.zip").content
    assert load(phone.get(f"/jobs/{job}/job.yaml").text) == load(starter())


def test_the_same_write_sent_twice_is_done_once(phone: httpx.Client, job: str) -> None:
    change = {"base": 1, "path": ["job", "title"], "value": "Kitchen", "op": "twice"}
    first = phone.patch(f"/api/jobs/{job}", json=change).json()["revision"]
    again = phone.patch(f"/api/jobs/{job}", json=change).json()["revision"]
    assert first == again
    assert first["document"]["job"]["title"] == "Kitchen"
    assert phone.get(f"/api/jobs/{job}/ops/twice").json()["number"] == 2
    entry = {"kind": "check", "key": "head-level", "value": {"mm": 1}, "passed": True, "op": "e"}
    one, two = (phone.post(f"/api/jobs/{job}/entries", json=entry).json() for _ in range(2))
    assert one == two
    assert [row["op"] for row in phone.get(f"/api/jobs/{job}/entries").json()] == ["e"]
    out = io.BytesIO()
    Image.new("RGB", (4, 4)).save(out, "JPEG")
    for _ in range(2):
        answer = phone.post(
            f"/api/jobs/{job}/photos", files={"photo": out.getvalue()}, data={"op": "p"}
        )
        assert answer.status_code == 201
    assert len(phone.get(f"/api/jobs/{job}/photos").json()) == 1


def test_two_devices_both_keep_their_value(served: Any, phone: httpx.Client, job: str) -> None:
    with served.client("laptop") as laptop:
        for client, title in ((phone, "Ward"), (laptop, "Recovery")):
            change = {"base": 1, "path": ["job", "title"], "value": title}
            saved = client.patch(f"/api/jobs/{job}", json=change).json()
        assert saved["revision"]["document"]["job"]["title"] == "Ward"
        (conflict,) = laptop.get(f"/api/jobs/{job}/conflicts").json()
        assert conflict["path"] == ["job", "title"]
        assert (conflict["theirs"]["value"], conflict["mine"]["value"]) == ("Ward", "Recovery")
        path = f"/api/jobs/{job}/conflicts/{conflict['id']}"
        settled = phone.post(path, json={"take": "mine"}).json()
        assert settled["document"]["job"]["title"] == "Recovery"
        assert phone.get(f"/api/jobs/{job}/conflicts").json() == []


def test_many_devices_at_once_lose_nothing(phone: httpx.Client, job: str) -> None:
    def note(number: int) -> int:
        entry = {"kind": "check", "key": f"k{number}", "value": number}
        return phone.post(f"/api/jobs/{job}/entries", json=entry).status_code

    with concurrent.futures.ThreadPoolExecutor(8) as pool:
        assert set(pool.map(note, range(24))) == {201}
    rows = phone.get(f"/api/jobs/{job}/entries").json()
    assert sorted(row["value"] for row in rows) == list(range(24))


def test_what_is_wrong_is_said_with_field_and_mend(phone: httpx.Client, job: str) -> None:
    wrong = phone.post("/api/jobs", json={"text": starter().replace("name:", "nmae:", 1)})
    assert wrong.status_code == 422
    assert any("nmae" in problem["field"] for problem in wrong.json()["problems"])
    assert all(problem["mend"] for problem in wrong.json()["problems"])
    bad = {"base": 1, "path": ["wall", "run"], "value": "much"}
    answer = phone.patch(f"/api/jobs/{job}", json=bad)
    assert answer.status_code == 409
    assert "wall.run" in answer.json()["detail"]
    assert phone.get(f"/api/jobs/{job}").json()["number"] == 1
    for path in (
        f"/api/jobs/{'0' * 32}",
        f"/api/jobs/{job}/revisions/9",
        f"/jobs/{job}/issued/1/x",
    ):
        assert phone.get(path).status_code == 404
    nan = phone.put(
        f"/api/jobs/{job}",
        content='{"base": 1, "document": {"x": NaN}}',
        headers={"Content-Type": "application/json"},
    )
    assert nan.status_code == 422


def test_a_figure_tells_its_whole_chain(phone: httpx.Client, job: str) -> None:
    keys = phone.get(f"/api/jobs/{job}/figures").json()
    chain = phone.get(f"/api/jobs/{job}/figures/fit.frame_width").json()["chain"]
    assert "fit.frame_width" in keys
    depth, figure = chain[0]
    assert (depth, figure["key"]) == (0, "fit.frame_width")
    behind = {row if isinstance(row, str) else row["key"] for _, row in chain}
    assert set(figure["inputs"]) <= behind


def test_a_change_is_told_to_the_other_device(served: Any, phone: httpx.Client, job: str) -> None:
    with (
        served.client("laptop") as laptop,
        laptop.stream("GET", f"/jobs/{job}/live") as stream,
    ):
        assert stream.headers["content-type"].startswith("text/event-stream")
        lines = stream.iter_lines()
        told = (json.loads(line[6:]) for line in lines if line.startswith("data: "))
        assert next(told) == {"revision": 1, "records": 0}
        change = {"base": 1, "path": ["job", "title"], "value": "Seen"}
        phone.patch(f"/api/jobs/{job}", json=change)
        assert next(told) == {"revision": 2, "records": 0}
        entry = {"kind": "check", "key": "head", "value": 1}
        phone.post(f"/api/jobs/{job}/entries", json=entry)
        assert next(told) == {"revision": 2, "records": 1}


def test_whatever_is_sent_the_server_stands(served: Any, phone: httpx.Client, job: str) -> None:
    """Schemathesis makes requests from the OpenAPI that the app itself publishes."""
    schema = schemathesis.openapi.from_dict(phone.get("/api/openapi.json").json())
    cookies = dict(phone.cookies)
    headers = {"X-CSRF-Token": phone.headers["X-CSRF-Token"]}
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) > 20
    for operation in operations:

        @settings(
            max_examples=3, deadline=None, derandomize=True, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck), database=None,
        )  # fmt: skip
        @given(case=operation.as_strategy())
        def check(case: schemathesis.Case) -> None:
            if "job" in case.path_parameters:
                case.path_parameters["job"] = job
            response = case.call(base_url=served.url, cookies=cookies, headers=headers)
            case.validate_response(response, checks=CHECKS)

        check()
