"""No cache grows with the requests of clients: its keys are limited in number and in length."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.load.cache_memory import KEYS, caches, many_keys

pytestmark = pytest.mark.benchmark
MAX_GROWTH = 15_000_000  # bytes of resident memory after the caches are full
# Caches whose keys come only from our own tables and models.
WITHOUT_CLIENT_KEYS = {
    "api.pages.cards.rendering._templates",
    "api.pages.cards.start.examples",
    "api.pages.cards.words.words_of",
    "api.v1.eggs.routes._classes",
    "api.v1.reference.routes._all",
    "api.v1.reference.routes._sources",
    "api.v1.reference.routes._units",
    "api.v1.tins.routes._tins",
    "api.wire.answers._sources",
    "api.wire.answers.source_refs",
    "api.wire.bounded._failing_fast_model",
    "api.wire.bounded._longest_list_of",
    "api.wire.tables._table",
    "domain.baking.special_functions.bessel_zero",
    "domain.reading.names._usual_names",
    "domain.reading.names.name_tables",
    "domain.reading.resolving._tinned",
    "domain.reading.vocabulary.vocabulary",
    "domain.sources.cite",
    "domain.things.eggs.egg_mass",
    "domain.things.ingredients._exact",
    "domain.things.ingredients._measure",
}
# Caches whose entries take milliseconds to compute; they get only slightly more keys than fit.
SLOW = {
    "api.v1.bake.answers._setting",
    "api.wire.routing._rewritten",
    "domain.baking.assumptions._cases",
    "domain.baking.calibration._observed",
    "domain.baking.cases.solved_heating",
    "domain.baking.conduction._terms",
    "domain.baking.oven.conventional_c",
    "domain.baking.window.estimate_bake",
    "domain.cooling.cooling._cached_substance",
    "domain.cooling.cooling._solution",
}


def test_memory_stays_flat_when_new_keys_are_requested_from_every_cache() -> None:
    root = Path(__file__).parents[2]
    command = [sys.executable, "-m", "tests.load.cache_memory"]
    ran = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=900, check=False)
    assert ran.returncode == 0, ran.stderr[-2_000:]
    measured = json.loads(ran.stdout)
    print(f"resident {measured['warm'] / 1e6:.1f} MB with full caches, {measured['full'] / 1e6:.1f} MB at the end")
    for name in sorted(many_keys()):
        print(f"{name}: {measured['entries'][name]} keys")
    all_caches = caches()
    untested = {
        name: measured["entries"][name]
        for name in set(many_keys()) - WITHOUT_CLIENT_KEYS
        if measured["entries"][name] < (1.2 * all_caches[name].cache_parameters()["maxsize"] if name in SLOW else KEYS)
    }
    assert not untested, (
        f"not tested: {untested}: add a request to cache_memory, or list the cache in WITHOUT_CLIENT_KEYS"
    )
    assert measured["full"] - measured["warm"] < MAX_GROWTH


def test_no_cache_that_a_client_can_fill_is_without_a_bound() -> None:
    unbounded = {name for name, cache in caches().items() if cache.cache_parameters()["maxsize"] is None}
    assert unbounded <= WITHOUT_CLIENT_KEYS
