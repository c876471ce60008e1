"""Where the project's own examples lie, for the checks that ask them."""
import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def example(package, name):
    """The built example; built here where EXAMPLES is not set."""
    if "EXAMPLES" in os.environ:
        return os.path.join(os.environ["EXAMPLES"], name)
    subprocess.run(["cargo", "build", "-q", "-p", package, "--example", name], cwd=ROOT, check=True)
    target = os.environ.get("CARGO_TARGET_DIR", ROOT / "target")
    return os.path.join(target, "debug", "examples", name)
