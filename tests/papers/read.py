"""Reads what scant wrote with code that is not scant's and prints it as JSON.

csv FILE: the csv module of Python, strict. ics FILE: the icalendar package. html FILE: the
html5lib package, strict: any parse error of the HTML standard ends with a failure.
"""

import csv
import json
import sys


def read_csv(path):
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.reader(file, strict=True))


def read_ics(path):
    import icalendar

    with open(path, "rb") as file:
        calendar = icalendar.Calendar.from_ical(file.read())
    events = []
    for event in calendar.walk("VEVENT"):
        events.append(
            {
                "uid": str(event["UID"]),
                "summary": str(event["SUMMARY"]),
                "description": str(event["DESCRIPTION"]),
                "kind": event["CATEGORIES"].to_ical().decode(),
                "start": event.decoded("DTSTART").isoformat(),
                "end": event.decoded("DTEND").isoformat(),
                "stamp": event.decoded("DTSTAMP").isoformat(),
            }
        )
    return {"version": str(calendar["VERSION"]), "events": events}


def read_html(path):
    import html5lib

    with open(path, encoding="utf-8") as file:
        text = file.read()
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    page = parser.parse(text)
    ids, names, labels, links, tags = [], [], [], [], set()
    for element in page.iter():
        tag = str(element.tag).rsplit("}", 1)[-1]
        tags.add(tag)
        if "id" in element.attrib:
            ids.append(element.attrib["id"])
        for key in ("src", "href"):
            if key in element.attrib:
                links.append(element.attrib[key])
        if tag == "bdi":
            names.append("".join(element.itertext()))
        if tag == "svg":
            hidden = element.attrib.get("aria-hidden") == "true"
            labels.append("hidden" if hidden else element.attrib.get("aria-labelledby", ""))
    return {
        "ids": ids,
        "names": names,
        "labels": labels,
        "links": links,
        "tags": sorted(tags),
    }


if __name__ == "__main__":
    kind, path = sys.argv[1:]
    found = {"csv": read_csv, "ics": read_ics, "html": read_html}[kind](path)
    json.dump(found, sys.stdout)
