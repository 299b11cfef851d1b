"""What other programs read in the reports, held against what gyle says in JSON."""

import collections
import csv
import json
import sys
import urllib.parse

import junitparser
import xmlschema

LEVELS = {"error": "error", "warning": "warning", "hint": "note"}

with open("found.json", encoding="utf-8") as file:
    found = json.load(file)
findings = found["findings"]
faults = []


def same(what, have, want):
    """Counts what was read; a difference is a fault."""
    if have != want:
        faults.append(f"{what}: {have - want} read and not found, {want - have} found and not read")


def places(rows):
    return collections.Counter(rows)


with open("found.csv", encoding="utf-8-sig", newline="") as file:
    rows = list(csv.DictReader(file))
same(
    "sarif csv",
    places((row["Severity"], row["Code"], urllib.parse.unquote(row["Location"]), int(row["Line"])) for row in rows),
    places((LEVELS[one["severity"]], one["rule"], one["path"], one["range"]["start"]["line"]) for one in findings),
)

with open("found.sarif", encoding="utf-8") as file:
    run = json.load(file)["runs"][0]
for result in run["results"]:
    for place in result["locations"]:
        uri = place["physicalLocation"]["artifactLocation"]["uri"]
        if "\\" in uri or uri.startswith("/") or " " in uri or not uri.isascii():
            faults.append(f"sarif: {uri} is no relative URI")
prints = [next(iter(result["partialFingerprints"].values())) for result in run["results"]]
if sorted(prints) != sorted(one["fingerprint"] for one in findings):
    faults.append("sarif: the fingerprints are not those of the JSON")

with open("found-climate.json", encoding="utf-8") as file:
    if len(json.load(file)) != len(findings):
        faults.append("sarif codeclimate: not every finding was read")

report = junitparser.JUnitXml.fromfile("found.xml")
cases = [case for suite in report for case in suite]
failed = [case for case in cases if any(isinstance(one, junitparser.Failure) for one in case.result)]
same(
    "junit failures",
    places((case.classname, case.name.split()[-1]) for case in failed),
    places((one["path"], one["rule"]) for one in findings if one["severity"] == "error"),
)
if (report.failures, report.tests) != (len(failed), len(cases)):
    faults.append(f"junit: {report.failures} of {report.tests} stated, {len(failed)} of {len(cases)} read")

schema = xmlschema.XMLSchema(sys.argv[1])
for name in ["found.xml", "never.xml", "clean.xml"]:
    faults += [f"{name}: {error.path}: {error.reason}" for error in schema.iter_errors(name)]
with open("found.xml", encoding="utf-8") as file:
    text = file.read()
# The schema finds fault where there is some.
for old, new in [
    ('failures="', 'failures="-'),
    ("<failure ", "<failure/><failure "),
    (' name="', ' title="" name="'),
    (' classname="', ' class="'),
    ('time="', 'time="about '),
    ("<testcase ", "<testcase/><testcase "),
]:
    if old not in text or schema.is_valid(text.replace(old, new, 1)):
        faults.append(f"junit: `{new}` passes the schema")

clean = found["summary"]["files"] - len({one["path"] for one in findings})
if len(cases) != len(findings) + clean:
    faults.append(f"junit: {len(cases)} tests, {len(findings)} findings and {clean} files without any")

for fault in faults:
    print(fault, file=sys.stderr)
print(f"{len(rows)} findings read from SARIF, {len(cases)} tests from JUnit")
sys.exit(1 if faults or len(rows) < 50 else 0)
