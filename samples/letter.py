#!/usr/bin/env python3
"""Writes what a mentor's newcomers need today as a letter to oneself, on standard output.

    samples/letter.py [PROGRAM [OPTIONS]]     PROGRAM: ladderline, if it is not on the path

It shows how other programs read Ladderline: they run a command with --json. What each command answers is told in
node/manual/answers.schema.json. Nothing is sent anywhere; what becomes of the letter is its reader's business, and it
names people, so do not leave it lying about.
"""
import json
import subprocess
import sys


def asked(command):
    done = subprocess.run(command + ["--json", "today"], capture_output=True, text=True, check=False)
    try:
        answer = json.loads(done.stdout)
    except json.JSONDecodeError:
        sys.exit(done.stderr.strip() or "letter: the program gave no answer")
    if "error" in answer:
        sys.exit("letter: " + answer["error"])
    return answer


def main():
    answer = asked(sys.argv[1:] or ["ladderline"])
    others = [way for way in answer["ways"] if not way["own"]]
    print(f"Your newcomers on {answer['day']}")
    if not others:
        print("\nNobody shares a way with you yet.")
    for way in others:
        urgent = [line for line in way["lines"] if line["kind"] != "next step"]
        print(f"\n{way['name']}" + (" rests." if way["resting"] else ""))
        for line in urgent:
            since = f" ({line['day']})" if line["day"] else ""
            print(f"  - {line['what']}{since}")
        if not urgent and not way["resting"]:
            print("  Nothing waits for you. A word costs nothing.")


if __name__ == "__main__":
    main()
