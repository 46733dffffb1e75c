"""What `reference_values` (the program given as first argument) prints, for the checks beside this file."""

import json
import subprocess
import sys


def values(what):
    return json.loads(subprocess.run([sys.argv[1], what], check=True, capture_output=True, text=True).stdout)


def expect(condition, message):
    if not condition:
        print("FAILED:", message)
        sys.exit(1)
