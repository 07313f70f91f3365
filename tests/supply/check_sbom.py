"""The SBOM names every package that ./bootstrap builds with and every library that the binaries load."""
import json
import re
import subprocess
import sys
from pathlib import Path

source, out, *binaries = sys.argv[1:]
made = [subprocess.run([sys.executable, f"{source}/cmake/sbom.py", out, *binaries], check=True) and Path(out).read_bytes()
        for _ in range(2)]
assert made[0] == made[1], "made twice, it is not the same"
bom = json.loads(made[0])
assert (bom["bomFormat"], bom["specVersion"]) == ("CycloneDX", "1.5")
components = {each["bom-ref"]: each for each in bom["components"]}
assert len(components) == len(bom["components"]), "a reference is given twice"
for each in bom["components"]:
    assert each["version"] and each["purl"].startswith(("pkg:deb/debian/", "pkg:npm/")), each
wanted = re.search(r'build_packages="([^"$]*)"', Path(source, "bootstrap").read_text())[1].split()
missing = [name for name in wanted if f"deb/{name}" not in components]
assert not missing, f"no component for {missing}"
lock = json.loads(Path(source, "src/serve/web/package-lock.json").read_text())["packages"]
assert {f"npm/{path}" for path in lock if path} <= components.keys()
for library in ("libtiff6", "libopencv-core406", "libpango-1.0-0", "libsodium23", "libc6"):
    assert components[f"deb/{library}"]["scope"] == "required", library
assert components["deb/cmake"]["scope"] == "excluded"
for reference in bom["dependencies"][0]["dependsOn"]:
    assert reference in components
print(f"{len(components)} components")
