"""Runs the README's command blocks: the one under `## Test it` first, then all others in their order."""

import re
import subprocess
import sys
from pathlib import Path

text = Path("README.md").read_text(encoding="utf-8")
blocks = [(match.start(), match[1].strip()) for match in re.finditer(r"^```sh\n(.*?)^```$", text, re.M | re.S)]
test = text.index("## Test it")
tests = [block for block in blocks if block[0] > test][:1]
if not tests:
    sys.exit("README.md: there is no command under '## Test it'")
for _, command in tests + [block for block in blocks if block not in tests]:
    print(f"$ {command}", flush=True)
    code = subprocess.run(["bash", "-euo", "pipefail", "-c", command], check=False).returncode
    if code:
        sys.exit(f"this README command ended with {code}")
