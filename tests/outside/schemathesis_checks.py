"""Checks of our own for schemathesis; schemathesis.toml says where they stand in."""

import schemathesis


@schemathesis.check
def a_bad_item_is_refused(ctx, response, case):
    """A bulk call answers 200 for a well-formed list, and refuses a bad item in its place."""
    meta = case.meta
    if response.status_code != 200 or meta is None or not meta.generation.mode.is_negative:
        return
    answer = response.json() if "json" in response.headers.get("content-type", [""])[0] else None
    if not isinstance(answer, dict) or "summary" not in answer:
        return
    assert answer["summary"]["failed"] > 0, "a bad request was answered without a failed item"
