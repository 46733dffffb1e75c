"""Checks the answers of `wainscot explain --lesson N --answers` with the commands that the lessons name:
  python3 lessons_check.py PROGRAM DRIVE
Each number of an answer must stand in what its command prints, rounded as the answer is. Questions that the page answers
are left to the page's own test (tests/browser/explain_page_test.js)."""

import os
import re
import subprocess
import sys
import tempfile

program, drive = (os.path.abspath(path) for path in sys.argv[1:])
NUMBER = re.compile(r"(?<![\w.])-?\d[\d,]*(?:\.\d+)?(?![\w])")


def run(folder, command, **more):
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, **more)
    if done.returncode != 0:
        sys.exit(f"{command} ends with {done.returncode}: {done.stderr}")
    return done.stdout


def numbers(text):
    return [n.replace(",", "") for n in NUMBER.findall(text)]


def stands_in(number, output):
    decimals = len(number.partition(".")[2])
    return any(abs(float(n) - float(number)) <= 0.5001 * 10.0**-decimals for n in numbers(output))


def main(folder):
    os.symlink(drive, os.path.join(folder, "drive"))
    environment = dict(os.environ, PATH=os.path.dirname(program) + os.pathsep + os.environ["PATH"])
    run(folder, [program, "build", "drive", "--out", "lesson-map", "--quiet"])
    checked, on_the_page, wrong = 0, 0, []
    for lesson in range(1, 8):
        text = run(folder, [program, "explain", "drive", "--lesson", str(lesson), "--answers", "--quiet"])
        questions = re.findall(r"Question \d+\. (.*)\n  To check: (.*)\n  Answer: (.*)\n", text)
        if not questions:
            wrong.append(f"lesson {lesson} has no questions")
        for question, check, answer in questions:
            if check.startswith("explain.html"):
                on_the_page += 1
                continue
            output = run(folder, ["sh", "-c", check], env=environment)
            words = answer.partition("(")[0]
            missing = [n for n in numbers(words) if not stands_in(n, output)]
            if not numbers(words) and words.strip() not in output:
                missing = [words]
            checked += 1
            print(f"{'wrong' if missing else 'ok'}: {question} {answer}")
            if missing:
                wrong.append(f"{question} {answer}: {missing} not in\n{output}")
    print(f"{checked} answers checked with commands, {on_the_page} left to the page's test")
    if checked < 9 or on_the_page < 6:
        wrong.append("there are fewer questions than there were")
    sys.exit("\n".join(wrong) if wrong else 0)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        main(temporary)
