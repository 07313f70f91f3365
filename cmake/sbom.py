"""What ohmglow is made of, as CycloneDX 1.5 (ECMA-424) in JSON.

sbom.py OUT PROGRAM PART…: the Debian packages that ./bootstrap names for a build and those of the libraries that the
binaries load, each with its version here; and the locked npm packages of the page. Same machine, same bytes.
"""
import base64
import json
import re
import subprocess
import sys
from pathlib import Path

SOURCE = Path(__file__).resolve().parent.parent


def said_by(*command):
    return subprocess.run(command, capture_output=True, text=True).stdout


def packages_of_bootstrap():
    text = (SOURCE / "bootstrap").read_text()
    return set(re.search(r'^build_packages="([^"$]*)"', text, re.MULTILINE)[1].split())


def packages_loaded(binaries):
    files = set()
    for binary in binaries:
        files.update(re.findall(r"=> (/\S+)", said_by("ldd", binary)))
    # Debian 12 knows files under /usr by either name.
    names = sorted({str(Path(file).resolve()) for file in files} | files)
    owners = said_by("dpkg-query", "-S", *names)
    return {re.sub(":.*", "", line) for line in owners.splitlines()}


def debian_components(names, loaded):
    architecture = said_by("dpkg", "--print-architecture").strip()
    versions = dict(line.split("\t") for line in said_by(
        "dpkg-query", "-W", "-f", "${Package}\t${Version}\n", *sorted(names)).splitlines())
    return [{"type": "library" if name in loaded or name.startswith("lib") else "application",
             "bom-ref": f"deb/{name}", "name": name, "version": versions[name],
             # What only builds is no part of what runs.
             "scope": "required" if name in loaded else "excluded",
             "purl": f"pkg:deb/debian/{name}@{versions[name].replace('+', '%2B').replace(':', '%3A')}"
                     f"?arch={architecture}&distro=debian-12"}
            for name in sorted(names) if name in versions]


def page_components():
    lock = json.loads((SOURCE / "src/serve/web/package-lock.json").read_text())
    components = []
    for path, entry in sorted(lock["packages"].items()):
        if not path:
            continue
        name = path.rpartition("node_modules/")[2]
        component = {"type": "library", "bom-ref": f"npm/{path}", "name": name, "version": entry["version"],
                     "scope": "excluded" if entry.get("dev") else "required",
                     "purl": f"pkg:npm/{name.replace('@', '%40')}@{entry['version']}"}
        if "license" in entry:
            component["licenses"] = [{"license": {"id": entry["license"]}}]
        if "integrity" in entry:
            algorithm, _, digest = entry["integrity"].partition("-")
            component["hashes"] = [{"alg": algorithm.upper().replace("SHA", "SHA-"),
                                    "content": base64.b64decode(digest).hex()}]
        components.append(component)
    return components


def main():
    out, *binaries = sys.argv[1:]
    loaded = packages_loaded(binaries)
    version = re.search(r"project\(ohmglow VERSION (\S+)", (SOURCE / "CMakeLists.txt").read_text())[1]
    components = debian_components(packages_of_bootstrap() | loaded, loaded) + page_components()
    bom = {"bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1,
           "metadata": {"component": {"type": "application", "bom-ref": "ohmglow", "name": "ohmglow", "version": version,
                                      "licenses": [{"license": {"id": "Apache-2.0"}}]}},
           "components": components,
           "dependencies": [{"ref": "ohmglow", "dependsOn": [each["bom-ref"] for each in components
                                                             if each["scope"] == "required"]}]}
    Path(out).write_text(json.dumps(bom, indent=1) + "\n")
    print(f"{out}: {len(components)} components")


main()
