"""The Kubernetes manifest is valid by the schemas of Kubernetes, and everything that it names exists."""

import re
from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
import yaml

from api.app import create_app
from api.contract.trying import ask
from api.settings import Settings

ROOT = Path(__file__).parents[2]
DOCKERFILE = (ROOT / "Dockerfile").read_text("utf-8")
PARTS: list[dict[str, Any]] = list(yaml.safe_load_all((ROOT / "api/serving/kubernetes.yaml").read_text("utf-8")))
BY_KIND = {part["kind"]: part for part in PARTS}
POD: dict[str, Any] = BY_KIND["Deployment"]["spec"]["template"]["spec"]
CONTAINER: dict[str, Any] = POD["containers"][0]
ENVIRONMENT: dict[str, str] = {variable["name"]: variable["value"] for variable in CONTAINER["env"]}
PROBES = ("startupProbe", "livenessProbe", "readinessProbe")
VERSIONS = ("1.30.0", kubernetes_validate.latest_version())


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("part", PARTS, ids=lambda part: part["kind"])
def test_each_part_is_valid_by_the_schemas_of_kubernetes(part: dict[str, Any], version: str) -> None:
    kubernetes_validate.validate(part, version, strict=True)


def test_the_validator_finds_a_misspelt_key_and_a_wrong_type() -> None:
    service = BY_KIND["Service"]
    spoilings: tuple[dict[str, Any], ...] = ({"ports": [{"port": "eighty"}]}, {"selectors": {}})
    for spoiled in spoilings:
        with pytest.raises(kubernetes_validate.ValidationError):
            kubernetes_validate.validate(service | {"spec": service["spec"] | spoiled}, VERSIONS[1], strict=True)


def test_all_parts_select_the_same_pods() -> None:
    labels = BY_KIND["Deployment"]["spec"]["template"]["metadata"]["labels"]
    assert BY_KIND["Deployment"]["spec"]["selector"]["matchLabels"] == labels
    assert BY_KIND["Service"]["spec"]["selector"] == labels
    assert BY_KIND["PodDisruptionBudget"]["spec"]["selector"]["matchLabels"] == labels
    assert all(constraint["labelSelector"]["matchLabels"] == labels for constraint in POD["topologySpreadConstraints"])
    scaled = BY_KIND["HorizontalPodAutoscaler"]["spec"]["scaleTargetRef"]
    assert (scaled["kind"], scaled["name"]) == ("Deployment", BY_KIND["Deployment"]["metadata"]["name"])
    # The autoscaler sets the number of replicas.
    assert "replicas" not in BY_KIND["Deployment"]["spec"]
    assert BY_KIND["HorizontalPodAutoscaler"]["spec"]["minReplicas"] >= 2


def test_every_variable_is_a_setting_with_a_valid_value(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in ENVIRONMENT.items():
        prefix, _, field = name.partition("_")
        assert prefix == "TINWRIGHT"
        assert field.casefold() in Settings.model_fields
        monkeypatch.setenv(name, value)
    (keys := tmp_path / "keys").touch()
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(keys))
    settings = Settings()
    assert settings.metrics_port == int(ENVIRONMENT["TINWRIGHT_METRICS_PORT"])
    # Service links would set more variables with that prefix.
    assert POD["enableServiceLinks"] is False


def test_ports_agree_with_the_image_and_the_settings() -> None:
    ports = {port["name"]: port["containerPort"] for port in CONTAINER["ports"]}
    exposed = re.findall(r"^EXPOSE (\d+)", DOCKERFILE, re.MULTILINE)
    assert ports == {"http": int(exposed[0]), "metrics": int(ENVIRONMENT["TINWRIGHT_METRICS_PORT"])}
    assert f'"--port", "{exposed[0]}"' in DOCKERFILE
    assert [port["targetPort"] for port in BY_KIND["Service"]["spec"]["ports"]] == ["http"]  # not the metrics
    assert {CONTAINER[probe]["httpGet"]["port"] for probe in PROBES} == {"http"}


@pytest.mark.anyio
@pytest.mark.parametrize("probe", PROBES)
async def test_probes_need_no_key(probe: str, tmp_path: Path) -> None:
    path = CONTAINER[probe]["httpGet"]["path"]
    assert path == ("/readyz" if probe == "readinessProbe" else "/healthz")
    (keys := tmp_path / "keys").write_text(f"shop {'0' * 64}\n", "utf-8")
    service = create_app(Settings(keys_file=keys))
    assert (await ask(service, {"method": "GET", "path": path}))[0] == 200
    assert (await ask(service, {"method": "GET", "path": "/v1/units"}))[0] == 401


def test_the_user_is_that_of_the_image_and_has_no_rights() -> None:
    (user,) = re.findall(r"^USER (\d+)$", DOCKERFILE, re.MULTILINE)
    assert POD["securityContext"] == {
        "runAsNonRoot": True,
        "runAsUser": int(user),
        "runAsGroup": int(user),
        "fsGroup": int(user),
        "seccompProfile": {"type": "RuntimeDefault"},
    }
    assert CONTAINER["securityContext"] == {
        "allowPrivilegeEscalation": False,
        "privileged": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert POD["automountServiceAccountToken"] is False
    for off in ("hostNetwork", "hostPID", "hostIPC"):
        assert not POD.get(off)


def test_every_mount_has_a_volume_and_the_keys_come_from_a_secret() -> None:
    volumes = {volume["name"]: volume for volume in POD["volumes"]}
    mounts = {mount["mountPath"]: mount for mount in CONTAINER["volumeMounts"]}
    assert {mount["name"] for mount in mounts.values()} == set(volumes)
    folder, _, _ = ENVIRONMENT["TINWRIGHT_KEYS_FILE"].rpartition("/")
    assert mounts[folder]["readOnly"] is True
    assert volumes[mounts[folder]["name"]]["secret"]["secretName"] == "tinwright-keys"
    assert "Secret" not in BY_KIND  # the project contains no key and no hash of one


def test_the_pod_has_time_to_stop() -> None:
    fields = Settings.model_fields
    drain = float(ENVIRONMENT.get("TINWRIGHT_DRAIN_SECONDS", fields["drain_seconds"].default))
    finishing = float(ENVIRONMENT.get("TINWRIGHT_STOP_SECONDS", fields["stop_seconds"].default))
    assert POD["terminationGracePeriodSeconds"] >= drain + finishing + 5
    # The failed readiness is noticed while the pod still answers.
    assert drain > CONTAINER["readinessProbe"]["periodSeconds"] * CONTAINER["readinessProbe"]["failureThreshold"]


def test_it_requests_memory_and_processor_time() -> None:
    resources = CONTAINER["resources"]
    assert set(resources["requests"]) == {"cpu", "memory"}
    # Above what a process needs (110 MB), below what a leak would need.
    assert (resources["requests"]["memory"], resources["limits"]["memory"]) == ("160Mi", "256Mi")
    # A limit on the processor would only make requests wait for its next period.
    assert "cpu" not in resources["limits"]
