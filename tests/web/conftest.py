"""A shop with the demo's kit and job, in a folder of its own."""

import re

import pytest
from fastapi.testclient import TestClient

from ringwright.job.demo import demo_job, demo_kit
from ringwright.store import open_store
from ringwright.web.app import create_app

JOB = "/jobs/screen-drum-drive-ring"


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path) as opened:
        opened.new_job(demo_job())
        opened.save_kit(demo_kit(), 0)
        yield opened


class Shop:
    """Sends forms as a browser would: with the version that the page showed."""

    def __init__(self, store):
        self.store = store
        self.client = TestClient(create_app(store), base_url="http://localhost:8000", follow_redirects=False)

    def get(self, path, **more):
        return self.client.get(path, **more)

    def post(self, path, version=None, files=None, **fields):
        page = path.rsplit("/", 1)[0]
        if version is None:
            found = re.search(r'name="version" value="(\d+)"', self.client.get(page).text)
            version = found[1] if found else "0"
        return self.client.post(path, data={"version": version, **fields}, files=files)

    def job(self, job_id="screen-drum-drive-ring"):
        return self.store.job(job_id)[0]


@pytest.fixture
def shop(store):
    return Shop(store)
