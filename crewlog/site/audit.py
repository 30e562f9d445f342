"""Known weaknesses of the packages in the lock: python -m crewlog.site.audit [LOCK]

Exit 0: none known. 2: some found. 3: not looked at, because pip-audit or the advisory service is not to be had.
"""

import shutil
import subprocess
import sys
from pathlib import Path

LOCK = Path(__file__).resolve().parents[2] / "requirements.lock"
NONE_KNOWN, FOUND, NOT_LOOKED_AT = 0, 2, 3
LONGEST_S = 300
NO_SERVICE = (
    "ConnectionError",
    "ServiceError",
    "Max retries",
    "resolve",
    "timed out",
    "Proxy",
    "HTTPError",
    "SSLError",
)


def audit(lock: Path) -> tuple[int, str]:
    """Exit code and what to print. Nothing is said to be sound that was not looked at."""
    program = shutil.which("pip-audit", path=str(Path(sys.executable).parent)) or shutil.which("pip-audit")
    if program is None:
        return NOT_LOOKED_AT, "Not looked at: pip-audit is not installed. Install it in an environment of its own."
    command = [program, "--require-hashes", "--disable-pip", "--progress-spinner=off", "-r", str(lock)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=LONGEST_S)  # noqa: S603
    except subprocess.TimeoutExpired:
        return NOT_LOOKED_AT, f"Not looked at: the advisory service did not answer within {LONGEST_S} s."
    return judged(done.returncode, done.stdout, done.stderr)


def judged(code: int, out: str, said: str) -> tuple[int, str]:
    if code == 0:
        return NONE_KNOWN, said.strip() or out.strip()
    if "known vulnerabilit" in said:
        return FOUND, f"{out.strip()}\n{said.strip()}"
    lines = said.strip().splitlines() or ["no reason given"]
    why = next((line for line in reversed(lines) if any(word in line for word in NO_SERVICE)), lines[-1])
    return NOT_LOOKED_AT, f"Not looked at: {why.strip()[:300]}"


def main() -> int:
    code, words = audit(Path(sys.argv[1]) if len(sys.argv) > 1 else LOCK)
    sys.stdout.write(f"{words}\n")
    return code


if __name__ == "__main__":
    sys.exit(main())
