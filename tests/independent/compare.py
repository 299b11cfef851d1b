"""What the scripts of the areas share: reading the cases, judging each, the account at the end."""

import json
import math
import sys

LEAST = 300  # cases an area must have, or nothing has been shown


class Account:
    """Cases of an area with the largest deviation of each quantity.

    `limits` gives each quantity its tolerance, whether it is 'absolute' or 'relative', and the reason.
    """

    def __init__(self, limits):
        self.limits = limits
        self.worst = {}
        self.count = {}
        self.misses = []
        lines = [json.loads(line) for line in sys.stdin]
        if not lines:
            sys.exit("no cases were given")
        self.head, self.lines = lines[0], lines[1:]

    def cases(self):
        """Kind, what went in and what the project made of it."""
        for line in self.lines:
            self.line = line
            yield line["kind"], line["given"], line["gyle"]

    def check(self, quantity, gyle, library):
        """Compares a number with that of the library."""
        tolerance, how, _ = self.limits[quantity]
        self.count[quantity] = self.count.get(quantity, 0) + 1
        if gyle is None or not math.isfinite(gyle) or not math.isfinite(library):
            off = math.inf
        elif how == "relative" and library != 0.0:
            off = abs(gyle / library - 1.0)
        else:
            off = abs(gyle - library)
        if off >= self.worst.get(quantity, -1.0):
            self.worst[quantity] = off
        if not off <= tolerance:
            self.misses.append((off / tolerance, quantity, gyle, library, self.line["given"]))

    def close(self, library):
        """Prints the account and ends the script, in failure where anything missed."""
        cases = len(self.lines)
        print(f"{self.head['area']}: {cases} cases with seed {self.head['seed']} against {library}")
        for quantity, (tolerance, how, reason) in self.limits.items():
            count = self.count.get(quantity, 0)
            if count == 0:
                self.misses.append((math.inf, quantity, None, None, "never compared"))
                continue
            worst = self.worst[quantity]
            print(f"  {quantity}: {count}, largest {worst:.3g}, allowed {tolerance:g} {how} ({reason})")
        if cases < LEAST:
            print(f"  only {cases} cases, {LEAST} are wanted")
        self.misses.sort(key=lambda miss: -miss[0])
        for _, quantity, gyle, library, given in self.misses[:10]:
            print(f"  MISS {quantity}: gyle {gyle}, library {library}, given {json.dumps(given)}")
        if len(self.misses) > 10:
            print(f"  and {len(self.misses) - 10} more misses")
        sys.exit(1 if self.misses or cases < LEAST else 0)
