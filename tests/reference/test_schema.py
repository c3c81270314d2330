"""`treenwright schema` against an independent validator, and against what the program itself takes."""

import copy
import json
import random
import subprocess
import tomllib

import pytest
from conftest import PROGRAM, ROOT
from jsonschema import Draft202012Validator

# Files of the suite that are broken only in what a schema can't see: the range of a quantity in a
# text with its unit, or what rules say of several keys.
BEYOND = {
    "blade-edge": "front against thickness",
    "figure-doubtful": "what is common",
    "clean-up-of-nothing": "the range of a length",
    "edge-higher-than-the-blade": "edge against thickness",
    "edge-higher-than-the-bowl": "edge against depth and wall",
    "edge-too-high": "edge against the handle's thickness",
    "give-alike": "a share of what the file asks for",
    "flaw-crosses-itself": "points against each other",
    "give-range": "a limit against what is asked",
    "wane-off-edge": "a line against the board",
    "give-twice": "one key in two spellings",
    "handle-too-steep": "stations against each other",
    "head-beside-the-handle": "stations against each other",
    "head-off-the-handle": "stations against each other",
    "head-too-steep": "stations against each other",
    "hold-down-too-small": "the block against its bolt",
    "hollow-too-deep": "depth against the head",
    "keel-before-the-shoulder": "keel against shoulder",
    "last-station-before-the-neck": "the place of the last station",
    "neck-too-wide": "the handle against the head",
    "stations-too-close-together": "stations against each other",
    "section-stations-too-close-together": "stations against each other",
    "no-handle-left": "lengths against each other",
    "no-hollow-left": "rim against width",
    "no-tine-left": "slots against width",
    "no-tine-left-at-the-tip": "slots against width",
    "no-usable-height": "skims against readings",
    "odd-reading": "readings against each other",
    "off-the-board": "places against the board",
    "opening-on-a-ring-and-in-rows": "a ring against rows",
    "opening-shorter-than-wide": "a slot's length against its width",
    "opening-without-pitch": "a pitch against counts",
    "out-of-range": "the range of a length",
    "outline-at-the-tip": "the range of a percentage",
    "outline-beside-the-widest-place": "stations against widest",
    "outline-stations-too-close-together": "stations against each other",
    "rim-rounder-than-its-edge": "a rim's round against its width",
    "rim-station-too-wide": "rim against width",
    "rim-stations-too-close-together": "stations against each other",
    "run-out-past-the-bevel": "the handle's run-out against the bevel",
    "scoop-too-deep-for-its-front": "depth against the front",
    "same-name-twice": "names against each other",
    "same-number-twice": "numbers against each other",
    "shoulder-past-the-widest-place": "shoulder against widest",
    "size-doubtful": "sizes against each other",
    "slot-too-long": "slot against head",
    "slot-too-short": "a slot's length against its width",
    "stations-out-of-order": "stations against each other",
    "step-over-past-the-diameter": "step-over against diameter",
    "sway-too-steep": "stations against each other",
    "too-wet": "the range of a percentage",
    "thin-side-lower-than-the-edge": "a thickness against the edge",
    "thin-side-thicker-than-the-middle": "thicknesses against each other",
    "two-moistures": "two ways to say one thing",
    "wall-too-thick": "wall against the head",
    "width-in-a-step": "stations against each other",
}

SUITE = sorted((ROOT / "tests/suite").glob("*.toml"))
EXAMPLES = {
    "design": sorted((ROOT / "params/designs").rglob("*.toml")),
    "board": sorted((ROOT / "params/boards").glob("*.toml")),
    "shop": [ROOT / "params/shop.toml"],
}


@pytest.fixture(scope="module")
def schemas():
    found = {}
    for source in EXAMPLES:
        done = subprocess.run([PROGRAM, "schema", source], capture_output=True, text=True, check=True)
        found[source] = json.loads(done.stdout)
    return found


@pytest.fixture(scope="module")
def validators(schemas):
    return {source: Draft202012Validator(schema) for source, schema in schemas.items()}


def faults(validator, document):
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]


def source_of(text):
    return text.split("# file: ", 1)[1].split("\n", 1)[0].strip()


@pytest.mark.parametrize("source", EXAMPLES)
def test_each_schema_is_one(schemas, source):
    schema = schemas[source]
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert source in schema["title"]

    def tell(at, node):
        """Every key says what it is, and every example and default is one."""
        for name, inner in node.get("properties", {}).items():
            if isinstance(inner, dict) and "description" in inner:
                assert inner["description"].endswith((".", "]")), (at, name, inner["description"])
            for value in inner.get("examples", []) + ([inner["default"]] if "default" in inner else []):
                assert not faults(Draft202012Validator(inner), value), (at, name, value)
            tell(f"{at}.{name}", inner.get("items", inner) if isinstance(inner, dict) else {})

    tell(source, schema)


@pytest.mark.parametrize("source, path", [(s, p) for s, paths in EXAMPLES.items() for p in paths], ids=lambda x: getattr(x, "stem", x))
def test_examples_are_valid(validators, source, path):
    assert not faults(validators[source], tomllib.loads(path.read_text()))


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("what, source", [("spoon", "design"), ("fork", "design"), ("turner", "design"), ("board", "board"), ("shop", "shop")])
def test_new_files_are_valid(validators, tmp_path, what, source, unit):
    path = tmp_path / "new.toml"
    subprocess.run([PROGRAM, "new", what, path, "--unit", unit], check=True, capture_output=True)
    assert not faults(validators[source], tomllib.loads(path.read_text()))


@pytest.mark.parametrize("path", sorted((ROOT / "tests/suite/rules").glob("*.toml")), ids=lambda path: path.stem)
def test_files_that_only_break_rules_are_valid(validators, path):
    text = path.read_text()
    assert not faults(validators[source_of(text)], tomllib.loads(text))


@pytest.mark.parametrize("path", SUITE, ids=lambda path: path.stem)
def test_broken_files_are_refused(validators, path):
    text = path.read_text()
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assert path.stem == "toml-syntax"
        return
    found = faults(validators[source_of(text)], document)
    assert bool(found) == (path.stem not in BEYOND), found


def test_no_name_is_beyond_without_a_file():
    assert set(BEYOND) <= {path.stem for path in SUITE}


# What a file says by key, without the rest of the job: the other two files are no files at all, so
# that nothing is planned.
def told(source, path):
    files = {name: "no-such-file.toml" for name in EXAMPLES} | {source: path}
    command = [PROGRAM, "check", files["design"], "--board", files["board"], "--shop", files["shop"], "--json"]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    findings = json.loads(done.stdout)["findings"]
    return {finding["code"] for finding in findings if finding["source"] == source}


def literal(value):
    """A value as TOML writes it."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {literal(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(literal, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def keys(document, above=()):
    """Every key of a document, as a path to it."""
    if isinstance(document, dict):
        for name, value in document.items():
            yield (*above, name)
            yield from keys(value, (*above, name))
    elif isinstance(document, list):
        for index, value in enumerate(document):
            yield from keys(value, (*above, index))


BY_SHAPE = {"missing-key", "unknown-key", "wrong-type", "wrong-section", "flaw-shape", "no-such-choice"}


@pytest.mark.parametrize("source, path", [(s, p) for s, paths in EXAMPLES.items() for p in paths if "failing" not in str(p)], ids=lambda x: getattr(x, "stem", x))
def test_schema_and_program_agree_on_keys(validators, tmp_path, source, path):
    """Each key of an example left out, misnamed, and of another type: both refuse it or neither."""
    document = tomllib.loads(path.read_text())
    trial = tmp_path / "trial.toml"
    seen, wrong = set(), []
    for key in keys(document):
        if isinstance(key[-1], int):
            continue
        # One of several alike is enough.
        shape = tuple("#" if isinstance(part, int) else part for part in key)
        if shape in seen or shape[0] == "accept":
            continue
        seen.add(shape)
        for change in ["out", "misnamed", "other"]:
            # An inlay has art or letters: what of two keys is needed is a rule, not the schema's.
            if (shape, change) == (("inlay", "#", "art"), "out"):
                continue
            changed = copy.deepcopy(document)
            at = changed
            for part in key[:-1]:
                at = at[part]
            value = at.pop(key[-1])
            if change == "misnamed":
                at[key[-1] + "x"] = value
            elif change == "other":
                at[key[-1]] = True
            trial.write_text("".join(f"{name} = {literal(value)}\n" for name, value in changed.items()))
            # What a design gives must be of its kind, which is a rule; by itself it must be a key.
            named = {"give-unknown"} if key[0] == "give" else set()
            refused = told(source, trial) & (BY_SHAPE | named)
            if bool(refused) != bool(faults(validators[source], changed)):
                wrong.append((".".join(map(str, key)), change, refused, faults(validators[source], changed)))
    assert not wrong, "\n".join(map(str, wrong))
    assert len(seen) > 10


@pytest.mark.parametrize("seed", range(3))
def test_what_the_program_reads_as_a_length_the_schema_takes(schemas, seed):
    """Random texts as a tolerance, which every length is read like. The schema may take more: it
    doesn't see that the fraction behind a whole number must be less than one."""
    lengths = Draft202012Validator(schemas["design"]["properties"]["bowl"]["properties"]["depth"])
    chance = random.Random(seed)
    numbers = ["1", "20", ".5", "1.", "1/4", "7/8", "1-1/4", "1 1/4", "5/4", "1/0", "0.02", "1.2.3"]
    signs = ["-", " ", ",", "+", "e3", "/"]
    units = ["mm", "cm", "in", "inch", '"', "″", "m", "ft", "%", "", " "]
    taken = 0
    for _ in range(120):
        text = chance.choice(numbers) + chance.choice(["", " "]) + chance.choice(units)
        for _ in range(chance.choice([0, 0, 1, 2])):
            at = chance.randrange(len(text) + 1)
            text = text[:at] + chance.choice(signs + numbers) + text[at:]
        command = [PROGRAM, "check", "x", "--board", "x", "--shop", "x", f"--tolerance={text}"]
        done = subprocess.run(command, capture_output=True, text=True)
        reads = done.returncode == 1 or "it must be from" in done.stderr
        takes = not faults(lengths, text)
        beyond = "must be less than one" in done.stderr or "too large" in done.stderr
        assert takes == reads or (beyond and not reads), (text, reads, takes, done.stderr)
        taken += takes
    assert taken > 20
