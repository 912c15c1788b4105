"""What the log may not carry."""

from yard.settings.logs import mask_keys


def test_an_owners_link_does_not_stand_in_the_log() -> None:
    event = {"request": "GET /o/b5c0:Qx_9-z/jobs/4/", "event": "request_started", "code": 200}
    masked = mask_keys(None, "info", event)
    assert masked == {"request": "GET /o/…/jobs/4/", "event": "request_started", "code": 200}


def test_other_addresses_stay_as_they_are() -> None:
    assert mask_keys(None, "info", {"request": "GET /boats/7/"}) == {"request": "GET /boats/7/"}
