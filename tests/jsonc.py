"""JSON with // and /* */ comments, for the scripts beside this file."""
import json


def without_comments(text):
    """Blank // and /* */ comments outside of strings."""
    out, i = [], 0
    while i < len(text):
        if text[i] == '"':
            start = i
            i += 1
            while text[i] != '"':
                i += 2 if text[i] == "\\" else 1
            i += 1
            out.append(text[start:i])
        elif text.startswith("//", i):
            i = text.index("\n", i)
        elif text.startswith("/*", i):
            i = text.index("*/", i) + 2
        else:
            out.append(text[i])
            i += 1
    return "".join(out)


def load(path):
    with open(path, encoding="utf-8") as file:
        return json.loads(without_comments(file.read()))
