"""Runs what the documentation shows.

    run_docs.py PROGRAM WORK-FOLDER DOCUMENT...

Each document has a fresh demo of its own. Its `sh` blocks that call the server run in their order, by `sh`
as written, from a folder that holds the repository's examples. A `text` block is what the answers since the
`text` block before it must hold, line by line. Amounts in the prose (two decimals) must be among what the demo
printed. Blocks for the Windows command prompt (`bat`) and PowerShell
must be the same calls as the `sh` block before them; they are not run.
"""
import datetime
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import threading

program, work = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve()
documents = [pathlib.Path(name).resolve() for name in sys.argv[3:]]
repository = pathlib.Path(__file__).resolve().parents[2]
START_SECONDS, BLOCK_SECONDS = 120, 60


def blocks(document):
    """The fenced blocks as (line, language, text), for this year and without the exports of step 1."""
    text = document.read_text(encoding="utf-8")
    year = datetime.datetime.now(datetime.timezone.utc).year
    for found in re.finditer(r"^```(\w*)\n(.*?)^```$", text, re.M | re.S):
        line = text.count("\n", 0, found.start()) + 1
        yield line, found[1], re.sub(r"Q-2026-", f"Q-{year}-", found[2])


def start(folder):
    """A demo that stays up: the process, its address and its key."""
    errors = open(folder / "demo.err", "wb")
    demo = subprocess.Popen(
        [program, "demo", "--out", folder / "demo", "--log", "warn"], stdout=subprocess.PIPE, stderr=errors, text=True
    )
    watch = threading.Timer(START_SECONDS, demo.kill)
    watch.start()
    said = ""
    for line in demo.stdout:
        said += line
        if line.startswith("listening on "):
            break
    watch.cancel()
    address, key = (re.search(rf"^  {word} +(\S+)$", said, re.M) for word in ("server", "key"))
    if not (address and key):
        demo.kill()
        sys.exit(f"the demo did not start: {said[-2000:]}\n{(folder / 'demo.err').read_text()[-2000:]}")
    return demo, address[1], key[1], said


def strange_amounts(document, said):
    """Amounts in the prose that the demo did not print."""
    prose = re.sub(r"^```.*?^```$", "", document.read_text(encoding="utf-8"), flags=re.M | re.S)
    amounts = re.findall(r"(?<![\d.])\d+\.\d\d(?![\d.]*\d)", prose)
    printed = re.findall(r"\d+\.\d+", said)
    return [amount for amount in amounts if not any(other.startswith(amount) for other in printed)]


def spoiled(path):
    """Why a file that an example has written is not what its name says, or None."""
    head, magic = path.read_bytes(), {".pdf": b"%PDF-", ".xlsx": b"PK"}.get(path.suffix, b"")
    if head.startswith(magic) and head and b'"type":"/problems/' not in head:
        return None
    return f"{path.name} is not what its name says: {head[:300]!r}"


def words(block, language):
    """The calls of a block as words, with variables written as `sh` writes them."""
    calls = []
    for line in block.replace("\\\n", " ").splitlines():
        if language == "bat":
            line = re.sub(r"%(\w+)%", r"$\1", line)
        if language == "powershell":
            line = re.sub(r"\$env:(\w+)", r"$\1", line).replace("curl.exe ", "curl ", 1)
        calls.append(shlex.split(line))
    return calls


def settings(block, language):
    """What a block that only sets variables sets, or None."""
    form = {
        "sh": r"export (\w+)=(\S+)",
        "bat": r"set (\w+)=(\S+)",
        "powershell": r'\$env:(\w+) = "(\S+)"',
    }[language]
    found = [re.fullmatch(form, line) for line in block.splitlines()]
    return [match.groups() for match in found] if all(found) else None


def run(document):
    folder = work / document.stem.lower()
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    shutil.copytree(repository / "examples", folder / "examples")
    demo, address, key, printed = start(folder)
    faults, answers, ran, compared, lines = [], "", 0, 0, 0
    said, shown = None, None
    try:
        for line, language, block in blocks(document):
            place = f"{document.name}:{line}"
            if language == "sh":
                shown = block
                if "$BASE" not in block:
                    continue
                # Step by step, and a refusal by the server is no failure of curl's: what must be answered
                # is shown.
                quiet = re.sub(r"^curl ", "curl -sS ", block, flags=re.M)
                done = subprocess.run(
                    ["sh", "-eu", "-c", quiet], cwd=folder, env={"BASE": address, "KEY": key, "PATH": "/usr/bin:/bin"},
                    stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=BLOCK_SECONDS,
                )
                said = done.stdout.decode("utf-8", "replace")
                ran += 1
                answers += said
                if done.returncode:
                    faults.append(f"{place}: ended with {done.returncode}: {said[-500:]}")
                if "/problems/" in said and "--data \"{}\"" not in block:
                    faults.append(f"{place}: was refused: {said[:1000]}")
            elif language in ("bat", "powershell"):
                compared += 1
                mine, others = settings(shown, "sh"), settings(block, language)
                same = mine == others if mine or others else words(shown, "sh") == words(block, language)
                if not same:
                    faults.append(f"{place}: is not the call of the sh block before it")
            elif language == "text":
                for wanted in block.splitlines():
                    lines += 1
                    if wanted not in answers:
                        faults.append(f"{place}: no answer holds {wanted}")
                answers = ""
    finally:
        demo.terminate()
        demo.wait(30)
    written = [path for path in sorted(folder.iterdir()) if path.is_file() and path.name != "demo.err"]
    faults += [fault for fault in map(spoiled, written) if fault]
    faults += [f"{document.name}: the demo printed no {amount}" for amount in strange_amounts(document, printed)]
    if not ran:
        faults.append(f"{document.name}: nothing was run")
    print(f"{document.name}: {ran} blocks run, {lines} lines found in answers, {compared} blocks for Windows compared")
    return faults


found = [fault for document in documents for fault in run(document)]
for fault in found:
    print(fault, file=sys.stderr)
sys.exit(1 if found else 0)
