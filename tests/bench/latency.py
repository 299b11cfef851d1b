#!/usr/bin/env python3
"""From an edit to its diagnostics and to the hints of the visible lines, over the pipe of a real process: `gyle lsp`,
beside `ruff server` with an edit of its own.

usage: latency.py GYLE RUFF GENERATE [--edits 300] [--lines 200,2000,20000] [--runs 1]

An edit of a gyle file is of one of three kinds: the amount of a malt; a number of the brewhouse that every recipe of the
file is brewed on; the indent of a line taken away and given back. Timed is from the first byte written to the last
byte of the answer read. Then: from the start of the process to the answer to `initialize`, and the memory with 1,000
recipes indexed.
"""
import argparse
import json
import os
import select
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

from texts import FUNCTION, HOUSE, RECIPE

VISIBLE = 60


class Server:
    """A language server and both ends of its pipe."""

    def __init__(self, argv, folder, capabilities):
        self.start = time.monotonic()
        self.process = subprocess.Popen(argv, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        os.set_blocking(self.process.stdout.fileno(), False)
        self.bytes, self.number = bytearray(), 0
        uri = Path(folder).as_uri()
        root = {"processId": os.getpid(), "rootUri": uri, "capabilities": capabilities, "workspaceFolders": [{"uri": uri, "name": "r"}]}
        self.send(self.request("initialize", root))
        self.begun, _ = self.until(lambda m: m.get("id") == 1)
        self.begun -= self.start
        self.send(self.frame({"method": "initialized", "params": {}}))

    @staticmethod
    def frame(message):
        body = json.dumps({"jsonrpc": "2.0", **message}, separators=(",", ":")).encode()
        return b"Content-Length: %d\r\n\r\n" % len(body) + body

    def request(self, method, params):
        self.number += 1
        return self.frame({"id": self.number, "method": method, "params": params})

    def send(self, data):
        self.process.stdin.write(data)
        self.process.stdin.flush()

    def until(self, wanted, patience=60.0):
        """The time when the last byte of a message that is wanted was read, and the message."""
        limit = time.monotonic() + patience
        while True:
            head = self.bytes.find(b"\r\n\r\n")
            if head >= 0:
                length = int(self.bytes[:head].split(b":")[1].split(b"\r")[0])
                if len(self.bytes) >= head + 4 + length:
                    body = bytes(self.bytes[head + 4:head + 4 + length])
                    del self.bytes[:head + 4 + length]
                    now = self.last
                    message = json.loads(body)
                    if "id" in message and "method" in message:
                        items = message.get("params", {}).get("items", [])
                        result = [None] * len(items) if message["method"] == "workspace/configuration" else None
                        self.send(self.frame({"id": message["id"], "result": result}))
                    if wanted(message):
                        return now, message
                    continue
            if not select.select([self.process.stdout], [], [], max(0.0, limit - time.monotonic()))[0]:
                raise SystemExit(f"{self.process.args} does not answer")
            chunk = os.read(self.process.stdout.fileno(), 1 << 20)
            self.last = time.monotonic()
            if not chunk:
                raise SystemExit(f"{self.process.args} has gone")
            self.bytes += chunk

    def memory(self):
        """The largest and the present resident set, MiB."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        of = lambda key: int(status.split(key + ":")[1].split()[0]) / 1024
        return of("VmHWM"), of("VmRSS")

    def end(self):
        self.send(self.request("shutdown", None))
        self.until(lambda m: m.get("id") == self.number and "method" not in m)
        self.send(self.frame({"method": "exit"}))
        if self.process.wait(10) != 0:
            raise SystemExit(f"{self.process.args} ended with {self.process.returncode}")


CAPABILITIES = {
    "general": {"positionEncodings": ["utf-16"]},
    "textDocument": {"synchronization": {}, "publishDiagnostics": {"versionSupport": True}, "inlayHint": {"dynamicRegistration": False}},
    "workspace": {"configuration": False, "workspaceFolders": True},
}


def recipes(lines):
    made = []
    for at in range(lines // 50):
        text = RECIPE.format(at=at)
        made.append(text + "  | Drink it fresh.\n" * (50 - text.count("\n")))
    return HOUSE + "".join(made)


def edits(text):
    """The kinds of edit: line, columns, and the two texts that take turns."""
    lines = text.split("\n")
    middle = [at for at, line in enumerate(lines) if "4.5 kg" in line]
    amount = middle[len(middle) // 2]
    house = next(at for at, line in enumerate(lines) if "mash efficiency" in line)
    return [("amount", amount, 4, ("7", "5")), ("brewhouse", house, 18, ("6", "8")), ("indent", amount, 0, ("", "  "))]


def measure(argv, ending, language, text, line, column, pair, count, hints):
    """Milliseconds to diagnostics, and to the hints as well."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / ("many" + ending)
        path.write_text(text)
        uri = path.as_uri()
        server = Server(argv, folder, CAPABILITIES)
        told = lambda version: lambda m: m.get("method") == "textDocument/publishDiagnostics" and m["params"]["uri"] == uri and (m["params"].get("version") or 0) >= version
        document = {"uri": uri, "languageId": language, "version": 1, "text": text}
        server.send(server.frame({"method": "textDocument/didOpen", "params": {"textDocument": document}}))
        server.until(told(1))
        view = {"start": {"line": max(0, line - VISIBLE // 2), "character": 0}, "end": {"line": line + VISIBLE // 2, "character": 0}}
        found, shown = [], []
        for at in range(count + 20):
            new, old = pair[at % 2], pair[1 - at % 2]
            where = {"start": {"line": line, "character": column}, "end": {"line": line, "character": column + len(old)}}
            change = {"textDocument": {"uri": uri, "version": at + 2}, "contentChanges": [{"range": where, "text": new}]}
            data = server.frame({"method": "textDocument/didChange", "params": change})
            if hints:
                data += server.request("textDocument/inlayHint", {"textDocument": {"uri": uri}, "range": view})
            want = {"hints"} if hints else set()
            want.add("found")
            number, is_told = server.number, told(at + 2)
            start = time.monotonic()
            server.send(data)
            while want:
                now, message = server.until(lambda m, told=is_told, number=number: told(m) or (m.get("id") == number and "method" not in m))
                if is_told(message):
                    want.discard("found")
                    first = now - start
                elif "result" not in message:
                    raise SystemExit(f"no hints: {message}")
                else:
                    want.discard("hints")
            if at >= 20:
                found.append(first * 1e3)
                shown.append((now - start) * 1e3)
            time.sleep(0.003)
        peak, _ = server.memory()
        server.end()
        return found, shown, peak, server.begun * 1e3


def share(values, part):
    values = sorted(values)
    return values[min(len(values) - 1, round((len(values) - 1) * part))]


def row(values):
    return " ".join(f"{share(values, part):>7.2f}" for part in (0.5, 0.95, 0.99, 1.0))


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gyle", type=os.path.abspath)
    parser.add_argument("ruff", type=os.path.abspath)
    parser.add_argument("generate", type=os.path.abspath)
    parser.add_argument("--edits", type=int, default=300)
    parser.add_argument("--lines", default="200,2000,20000")
    a = parser.parse_args()
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.2f}, {a.edits} edits; p50, p95, p99, most, ms")
    print(f"{'server':<12} {'lines':>6}  {'kind':<10} {'to diagnostics':>31}   {'and to hints':>31}   {'peak MiB':>8}")
    begun = {"gyle lsp": [], "ruff server": []}
    for lines in (int(part) for part in a.lines.split(",")):
        text = recipes(lines)
        jobs = [("gyle lsp", [a.gyle, "lsp"], ".gyle", "gyle", text, *kind, True) for kind in edits(text)]
        python = "".join(FUNCTION.format(at=at) + "\n\n" for at in range(lines // 9))
        rows = python.split("\n")
        at = [n for n, line in enumerate(rows) if "weight * share" in line]
        jobs.append(("ruff server", [a.ruff, "server"], ".py", "python", python, "a name", at[len(at) // 2], 11, ("q", ""), False))
        for server, argv, ending, language, text, kind, line, column, pair, hints in jobs:
            found, shown, peak, start = measure(argv, ending, language, text, line, column, pair, a.edits, hints)
            begun[server].append(start)
            print(f"{server:<12} {lines:>6}  {kind:<10} {row(found)}   {row(shown) if hints else '':>31}   {peak:>8.1f}", flush=True)
    for server, times in begun.items():
        print(f"{server}: from start to the answer to initialize, ms: least {min(times):.1f}, middle {statistics.median(times):.1f}, most {max(times):.1f}")
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made"
        subprocess.run([a.generate, "1000", made], check=True, stdout=subprocess.DEVNULL)
        path = next((made / "recipes").rglob("*.gyle"))
        server = Server([a.gyle, "lsp"], made, CAPABILITIES)
        document = {"uri": path.as_uri(), "languageId": "gyle", "version": 1, "text": path.read_text()}
        server.send(server.frame({"method": "textDocument/didOpen", "params": {"textDocument": document}}))
        # The last of the other files has been checked when nothing is told any more.
        quiet = time.monotonic()
        while time.monotonic() < quiet + 2.0:
            if select.select([server.process.stdout], [], [], 0.1)[0]:
                os.read(server.process.stdout.fileno(), 1 << 20)
                quiet = time.monotonic()
        peak, now = server.memory()
        print(f"gyle lsp with 1,000 recipes indexed and checked: {now:.1f} MiB, at most {peak:.1f}")
        server.process.kill()


if __name__ == "__main__":
    main()
