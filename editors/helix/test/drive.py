"""usage: drive.py HOUSE: types into Helix and reads its screen. Every asserted column has letters before it that
count differently in bytes, UTF-16 and UTF-32."""
import os
import re
import subprocess
import sys
import time

house = sys.argv[1]
socket = os.path.join(os.environ["HOME"], "tmux")
failed = count = 0


def tmux(*words):
    return subprocess.run(["tmux", "-S", socket, *words], check=True, capture_output=True, text=True).stdout


def screen():
    return tmux("capture-pane", "-p")


def keys(*typed):
    """Keys by tmux's names; what is no name is typed letter by letter."""
    for one in typed:
        tmux("send-keys", *([] if re.fullmatch(r"Enter|Escape|C-.|Tab", one) else ["-l"]), one)
        time.sleep(0.1)


def wait(ready, limit=60):
    """What `ready` makes of the screen, once that is something."""
    end = time.time() + limit
    while True:
        value = ready(screen())
        if value or time.time() > end:
            return value
        time.sleep(0.1)


def line(shown, piece):
    return next((one.rstrip() for one in shown.splitlines() if piece in one), "")


def check(ok, what):
    global failed, count
    count += 1
    failed += not ok
    print(f"{'ok' if ok else 'not ok'} {count} - {what}")
    if not ok and subprocess.run(["tmux", "-S", socket, "has-session"], capture_output=True).returncode == 0:
        print(re.sub("^", "    # ", screen().rstrip(), flags=re.M))


def at_cursor(shown):
    """Line and column, as the status line counts them."""
    found = re.search(r"(\d+):(\d+)\s*$", "\n".join(shown.rstrip().splitlines()[-2:-1]) or shown)
    return found and (int(found[1]), int(found[2]))


health = subprocess.run([os.environ["HX"], "--health", "gyle"], capture_output=True, text=True).stdout
health = re.sub("\x1b\\[[0-9;]*m", "", health)
for what in ["gyle", "Highlight queries: ✓", "Textobject queries: ✓", "Indent queries: ✓", "Tree-sitter parser: ✓"]:
    check(what in health, f"its own check says {what}")

file = os.path.join(house, "bière-de-marée.gyle")
tmux("-f", "/dev/null", "new-session", "-d", "-x", "120", "-y", "34", "-c", house, os.environ["HX"], file)
try:
    check(wait(lambda shown: "recipe \"Bière" in shown), "the file is shown")
    keys("j")
    check(wait(lambda shown: re.search(r"Größe 🌾 \[7,4 %\] at 60 min ?23 IBU\b", line(shown, "7,4"))),
          "the bitterness of a hop is drawn after its line")
    check(wait(lambda shown: re.search(r"Marée malt 🌾 ?93\.5 %", line(shown, "3.6 kg"))),
          "the share of a malt is drawn after its line")
    check(wait(lambda shown: "is written with a comma" in line(shown, "7,4")), "a decimal comma is found")
    coloured = tmux("capture-pane", "-p", "-e")
    check(re.search("\x1b\\[[0-9;]*m3\\.6", coloured) and re.search("\x1b\\[[0-9;]*mboil", coloured),
          "a number and a block are coloured")
    keys("g", "g", "]", "d")
    # `7,4` is selected, with the cursor on its end.
    check(wait(lambda shown: at_cursor(shown) == (10, 24)), "the finding stands under its number")
    keys(" ", "k")
    check(wait(lambda shown: "A comma between two digits." in shown), "hover tells of the rule")
    keys("Escape", " ", "a")
    check(wait(lambda shown: "Write `7.4`" in shown), "its fix is in the menu")
    keys("Enter")
    check(wait(lambda shown: "Größe 🌾 [7.4 %] at 60 min" in shown), "the fix is applied")
    check(wait(lambda shown: "is written with a comma" not in shown), "its finding is gone")
    keys(":format", "Enter")
    check(wait(lambda shown: "  20 g      Größe 🌾 [5 %] at 10 min" in shown), "the file is lined up")
    keys("o", "10 g      Größe 🌾 at flam")
    check(wait(lambda shown: shown.count("flameout") > 0), "what may stand there is offered")
    keys("Escape", "Escape", "x", "d", "g", "g", "/Größe", "Enter", " ", "r", "C-u", "Süße 🍺", "Enter")
    check(wait(lambda shown: "25 g      Süße 🍺 [7.4 %]" in shown), "a hop is renamed")
    keys(":write-all", "Enter")
    wanted = "  25 g      Süße 🍺 [7.4 %] at 60 min\n  20 g      Süße 🍺 [5 %] at 10 min\n"
    check(wait(lambda _: wanted in open(file, encoding="utf-8").read()), "the file is written")
    stores = os.path.join(house, "cellar", "stores.gyle")
    check('hop "Süße 🍺"' in open(stores, encoding="utf-8").read(), "the cellar too")
    keys(":quit", "Enter")
    ended = lambda: subprocess.run(["tmux", "-S", socket, "has-session"], capture_output=True).returncode != 0
    limit = time.time() + 10
    while not ended() and time.time() < limit:
        time.sleep(0.1)
    check(ended(), "it ends")
finally:
    subprocess.run(["tmux", "-S", socket, "kill-server"], capture_output=True)
print(f"{count - failed} passed, {failed} failed")
sys.exit(bool(failed))
