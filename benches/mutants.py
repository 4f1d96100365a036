"""Would the tests notice? Changes the code in one place at a time and runs the tests that reach it.

    python3 -m venv VENV && VENV/bin/pip install tree-sitter tree-sitter-rust
    VENV/bin/python benches/mutants.py --modules rules,plan --work FOLDER

Every change (a mutant) is built into one copy of the program, each behind a switch read when it
runs: R. H. Untch, A. J. Offutt and M. J. Harrold, "Mutation analysis using mutant schemata",
ISSTA 1993. So there is one build, not one for each mutant.

 1. The tree is copied to --work and src of the modules rewritten: `a < b` becomes `a <= b` if
    mutant 7 is on, `a >= b` if 8 is, else what it was. The tree itself is not touched.
 2. What the compiler refuses is left out, until the copy builds.
 3. Every test runs alone with no mutant on: it must pass, and says which mutants it reaches.
 4. For each mutant the tests that reach it run, the quick ones and those that found others of the
    same function first, until one fails. A run that takes ten times the processor time
    that it should (and 10 s) has failed as well.

Written to --work, as it goes: `results.jsonl`, `missed.json`. A run that was stopped goes on where
it was; results of files that changed since are thrown away, and with `--again` the missed ones
are tried again.

    --modules M,...   modules of src, or files below it (engine/score.rs)
    --only M,...      modules to build; builds sooner, and needs --tests that ask for no other
    --run M,...       of the mutants built only those of these modules
    --sample N        only N mutants of each of --modules are built, drawn with --seed
    --tests T,...     test binaries (lib, judge, ...); all of tests/ if not given
    --each SECONDS    tests that take longer alone are left out (10)
    --all SECONDS     tests of so many seconds in all, per mutant (90); all of processor time
    --jobs N          mutants at a time (2)
    --again           try the missed once more
"""

import argparse
import collections
import concurrent.futures
import hashlib
import json
import os
import pathlib
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

import tree_sitter
import tree_sitter_rust

ROOT = pathlib.Path(__file__).resolve().parent.parent
PARSER = tree_sitter.Parser(tree_sitter.Language(tree_sitter_rust.language()))

SWITCH = """
/// The switch of `benches/mutants.py`: whether this mutant is on.
#[inline]
pub(crate) fn mutant_on(id: u32) -> bool {
    use std::fs::{File, OpenOptions};
    use std::io::Write;
    use std::sync::OnceLock;
    use std::sync::atomic::{AtomicBool, Ordering};
    static SEEN: [AtomicBool; %d] = [const { AtomicBool::new(false) }; %d];
    static SWITCH: OnceLock<(u32, Option<File>)> = OnceLock::new();
    let (on, reached) = SWITCH.get_or_init(|| {
        let on = std::env::var("SCANT_MUTANT").ok().and_then(|id| id.parse().ok());
        let reached = std::env::var_os("SCANT_REACHED")
            .map(|path| OpenOptions::new().create(true).append(true).open(path).unwrap());
        (on.unwrap_or(0), reached)
    });
    if let Some(mut file) = reached.as_ref() {
        if !SEEN[id as usize].swap(true, Ordering::Relaxed) {
            file.write_all(&id.to_le_bytes()).unwrap();
        }
    }
    *on == id
}
"""

# What stands in for an operator.
OPERATORS = {
    "<": ["<=", ">="],
    "<=": ["<", ">"],
    ">": [">=", "<="],
    ">=": [">", "<"],
    "==": ["!="],
    "!=": ["=="],
    "&&": ["||"],
    "||": ["&&"],
    "+": ["-"],
    "-": ["+"],
    "*": ["+", "/"],
    "/": ["*", "%"],
    "%": ["/"],
    "<<": [">>"],
    ">>": ["<<"],
    "&": ["|"],
    "|": ["&"],
    "^": ["|"],
}
ASSIGNMENTS = {"+=": "-=", "-=": "+=", "*=": "/=", "/=": "*=", "|=": "&=", "&=": "|=", "%=": "/="}
METHODS = {}
for one, other in [
    ("min", "max"),
    ("min_by_key", "max_by_key"),
    ("min_by", "max_by"),
    ("any", "all"),
    ("first", "last"),
    ("is_some", "is_none"),
    ("is_ok", "is_err"),
    ("is_some_and", "is_none_or"),
    ("saturating_add", "saturating_sub"),
    ("checked_add", "checked_sub"),
    ("wrapping_add", "wrapping_sub"),
    ("starts_with", "ends_with"),
    ("strip_prefix", "strip_suffix"),
    ("find", "rfind"),
    ("trim_start", "trim_end"),
    ("next", "next_back"),
]:
    METHODS[one], METHODS[other] = other, one
METHODS.update(div_ceil="saturating_div", saturating_mul="saturating_add", checked_mul="checked_add")
# Methods without which the value may have the same type.
NEEDLESS = {"abs", "trim", "trim_start", "trim_end", "rev", "unsigned_abs"}
# Methods whose closure answers yes or no.
ASKING = {
    "any", "all", "filter", "find", "position", "retain", "take_while", "skip_while", "is_some_and",
    "is_none_or", "rposition", "partition", "partition_point",
}  # fmt: skip
WHOLE = {"u8", "u16", "u32", "u64", "u128", "usize", "i8", "i16", "i32", "i64", "i128", "isize", "Day", "Trip"}

# Bytes that no source holds mark where an arm and a place stand.
ARM, PLACE, NAME, END = b"\x01", b"\x02", b"\x03", b"\x04"


class Mutant:
    """One change: where, and what it makes of the code."""

    def __init__(self, file, function, node, what):
        self.file, self.function = file, function
        self.line, self.column = node.start_point[0] + 1, node.start_point[1] + 1
        self.what = what
        self.id = 0

    @property
    def key(self):
        return f"{self.file}:{self.line}:{self.column}: {self.what}"


class Rewriter:
    """Rewrites one file."""

    def __init__(self, file, source, refused):
        self.file, self.source, self.refused = file, source, refused
        self.mutants = []
        self.functions = []

    def text(self, node):
        return self.source[node.start_byte : node.end_byte]

    def arms(self, node, changes):
        """The mutants of these changes (what, code) that the compiler has not refused."""
        made = []
        function = "::".join(self.functions)
        for what, code in changes:
            mutant = Mutant(self.file, function, node, what)
            if mutant.key not in self.refused:
                # Ids are given to all files together: until then the place in the file's list.
                mutant.id = len(self.mutants)
                made.append((mutant, code))
                self.mutants.append(mutant)
        return made

    def choice(self, node, base, changes):
        """`if mutant_on(1) { … } else { base }`, in parentheses."""
        made = self.arms(node, changes)
        if not made:
            return base
        out = b""
        for mutant, code in made:
            name = b"%08d" % mutant.id
            out += b"if crate::mutant_on(" + name + b") { " + ARM + name + NAME + code + END + b" } else "
        return PLACE + name + NAME + b"(" + out + b"{ " + base + b" })" + END

    def run(self):
        tree = PARSER.parse(self.source)
        return self.node(tree.root_node)

    def children(self, node, special=None):
        """The node's text, its children rewritten; `special` overrules some by their byte."""
        special = special or {}
        out, at, skip = b"", node.start_byte, False
        for child in node.children:
            out += self.source[at : child.start_byte]
            at = child.end_byte
            if child.type == "attribute_item":
                words = self.text(child)
                skip = skip or re.search(rb"cfg\(.*\btest\b|#\[test\]", words) is not None
                out += words
            elif skip and child.type not in ("line_comment", "block_comment"):
                skip = False
                out += self.text(child)
            elif child.start_byte in special and child.is_named:
                out += special[child.start_byte](child)
            else:
                out += self.node(child)
        return out + self.source[at : node.end_byte]

    def node(self, node):
        handler = getattr(self, "at_" + node.type, None)
        if handler:
            return handler(node)
        if not node.children:
            return self.text(node)
        return self.children(node)

    # What is no running code, or not ours to change.

    def as_is(self, node):
        return self.text(node)

    at_const_item = at_macro_definition = at_macro_invocation = at_enum_item = at_struct_item = as_is
    at_type_arguments = at_type_parameters = at_parameters = at_closure_parameters = as_is
    at_array_type = at_use_declaration = at_const_block = at_tuple_struct_pattern = as_is
    at_where_clause = at_trait_bounds = at_lifetime = at_generic_type = at_reference_type = as_is
    at_type_item = at_inner_attribute_item = at_attribute_item = at_token_tree = as_is

    def at_static_item(self, node):
        def closures(inner):
            return self.node(inner) if inner.type == "closure_expression" else self.children(inner, every(inner))

        def every(inner):
            return {child.start_byte: closures for child in inner.children if child.is_named}

        return self.children(node, every(node))

    def at_impl_item(self, node):
        name = self.text(node.child_by_field_name("type")).decode()
        if node.child_by_field_name("trait") is not None:
            trait = self.text(node.child_by_field_name("trait")).decode()
            if trait.split("::")[-1] == "Debug":
                return self.text(node)
            name = f"<{trait} for {name}>"
        self.functions.append(name)
        out = self.children(node)
        self.functions.pop()
        return out

    def at_function_item(self, node):
        for child in node.children:
            if child.type == "function_modifiers" and b"const" in self.text(child):
                return self.text(node)
        body = node.child_by_field_name("body")
        name = self.text(node.child_by_field_name("name")).decode()
        self.functions.append(name)
        inside = self.node(body)
        returns = node.child_by_field_name("return_type")
        stubs = self.stubs(returns, body)
        out = b""
        for mutant, code in self.arms(node, [(f"{name} returns {code.decode() or '()'}", code) for code in stubs]):
            number = b"%08d" % mutant.id
            out += b" if crate::mutant_on(" + number + b") { " + ARM + number + NAME + b"return " + code + b";" + END + b" }"
        self.functions.pop()
        assert inside[:1] == b"{"
        return self.source[node.start_byte : body.start_byte] + b"{" + out + inside[1:]

    def stubs(self, returns, body):
        if body.named_child_count == 0:
            return []
        if returns is None or self.text(returns) == b"()":
            return [b""]
        kind = self.text(returns).decode()
        if kind in WHOLE:
            return [b"0", b"1"]
        if kind == "bool":
            return [b"true", b"false"]
        if kind == "String":
            return [b"String::new()", b'"other".to_owned()']
        if re.fullmatch(r"&('\w+ )?str", kind):
            return [b'""', b'"other"']
        if kind.startswith("Option<"):
            return [b"None", b"Some(Default::default())"]
        if kind.startswith("Result<()"):
            return [b"Ok(())"]
        if kind.startswith(("Result<", "fmt::Result")):
            return [b"Ok(Default::default())"]
        if re.match(r"&('\w+ )?\[", kind):
            return [b"&[]"]
        if kind.startswith(("impl ", "&", "!")):
            return []
        # What has no default value, the compiler refuses.
        return [b"Default::default()"]

    # Expressions.

    def at_binary_expression(self, node):
        left, right = node.child_by_field_name("left"), node.child_by_field_name("right")
        operator = self.text(node.child_by_field_name("operator")).decode()
        base = self.children(node)
        if node.end_byte - node.start_byte > 1_500:
            return base
        changes = [
            (f"{operator} made {new}", self.text(left) + b" " + new.encode() + b" " + self.text(right))
            for new in OPERATORS.get(operator, [])
        ]
        return self.choice(node, base, changes)

    def at_compound_assignment_expr(self, node):
        left, right = node.child_by_field_name("left"), node.child_by_field_name("right")
        operator = self.text(node.child_by_field_name("operator")).decode()
        base = self.source[node.start_byte : right.start_byte] + self.node(right)
        new = ASSIGNMENTS.get(operator)
        if new is None:
            return base
        return self.choice(node, base, [(f"{operator} made {new}", self.text(left) + new.encode() + self.text(right))])

    def at_unary_expression(self, node):
        operator = self.text(node)[:1]
        inner = node.children[-1]
        base = self.children(node)
        if operator not in b"!-":
            return base
        return self.choice(node, base, [(f"{operator.decode()} left out", self.text(inner))])

    def at_negative_literal(self, node):
        return self.text(node)

    def at_integer_literal(self, node):
        text = self.text(node).decode()
        found = re.fullmatch(r"([0-9_]+)([iu]\w+)?", text)
        if not found or node.parent.type in ("field_expression", "enum_variant", "literal_pattern"):
            return self.text(node)
        value, suffix = int(found[1].replace("_", "")), found[2] or ""
        return self.choice(node, self.text(node), [(f"{text} made {value + 1}", f"{value + 1}{suffix}".encode())])

    def at_boolean_literal(self, node):
        text = self.text(node)
        other = b"false" if text == b"true" else b"true"
        return self.choice(node, text, [(f"{text.decode()} made {other.decode()}", other)])

    def limit(self, node):
        """A constant's use: one more."""
        text = self.text(node)
        last = text.split(b"::")[-1]
        if not re.fullmatch(rb"[A-Z][A-Z0-9_]+", last) or node.parent.type == "reference_expression":
            return text
        return self.choice(node, text, [(f"{text.decode()} made {last.decode()} + 1", text + b" + 1")])

    def at_identifier(self, node):
        parent = node.parent
        if parent.type in ("scoped_identifier", "generic_function", "call_expression") and parent.type != "arguments":
            return self.text(node)
        return self.limit(node)

    def at_scoped_identifier(self, node):
        if node.parent.type in ("scoped_identifier", "generic_function", "call_expression"):
            return self.text(node)
        return self.limit(node)

    def at_array_expression(self, node):
        length = node.child_by_field_name("length")
        return self.children(node, {length.start_byte: self.as_is} if length is not None else None)

    def at_range_expression(self, node):
        named = [child for child in node.children if child.is_named]
        operator = next(self.text(child) for child in node.children if not child.is_named)
        if not named or node.children[-1] != named[-1] or named[-1].type == "integer_literal":
            return self.children(node)
        new = b" + 1" if operator == b".." else b" - 1"

        def end(child):
            what = f"range to {self.text(child).decode()}{new.decode()}"
            return self.choice(child, self.node(child), [(what, b"(" + self.text(child) + b")" + new)])

        return self.children(node, {named[-1].start_byte: end})

    def at_call_expression(self, node):
        function, arguments = node.child_by_field_name("function"), node.child_by_field_name("arguments")
        if function.type != "field_expression":
            return self.children(node)
        name = self.text(function.child_by_field_name("field")).decode()
        value = function.child_by_field_name("value")
        special = {}
        if name in ASKING:
            for argument in arguments.children:
                if argument.type == "closure_expression":
                    special[argument.start_byte] = self.asking
        base = self.node(value) + self.source[value.end_byte : function.end_byte]
        base += self.children(arguments, special)
        changes = []
        if name in METHODS:
            new = self.source[value.end_byte : function.end_byte - len(name)] + METHODS[name].encode()
            changes.append((f"{name} made {METHODS[name]}", self.text(value) + new + self.text(arguments)))
        if name in NEEDLESS:
            changes.append((f"{name} left out", self.text(value)))
        if name == "is_empty":
            changes.append(("! before is_empty", b"!" + self.text(node)))
        if node.end_byte - node.start_byte > 1_500:
            changes = []
        return self.choice(node, base, changes)

    def asking(self, closure):
        body = closure.child_by_field_name("body")
        return self.source[closure.start_byte : body.start_byte] + self.condition(body, "closure")

    def condition(self, node, of):
        base = self.node(node)
        changes = [(f"{of} made {word}", word.encode()) for word in ("true", "false")]
        return self.choice(node, base, changes)

    def at_if_expression(self, node):
        asked = node.child_by_field_name("condition")
        if asked.type in ("let_condition", "let_chain"):
            return self.children(node)
        return self.children(node, {asked.start_byte: lambda child: self.condition(child, "condition")})

    def at_let_condition(self, node):
        pattern = node.child_by_field_name("pattern")
        return self.children(node, {pattern.start_byte: self.as_is})

    def at_let_chain(self, node):
        special = {
            child.start_byte: lambda child: self.condition(child, "condition")
            for child in node.children
            if child.is_named and child.type not in ("let_condition", "let_chain")
        }
        return self.children(node, special)

    def at_while_expression(self, node):
        asked = node.child_by_field_name("condition")
        if asked.type in ("let_condition", "let_chain"):
            return self.children(node)
        change = [("condition made false", b"false")]
        return self.children(node, {asked.start_byte: lambda child: self.choice(child, self.node(child), change)})

    def at_for_expression(self, node):
        pattern = node.child_by_field_name("pattern")
        return self.children(node, {pattern.start_byte: self.as_is})

    def at_let_declaration(self, node):
        special = {}
        for field in ("pattern", "type"):
            child = node.child_by_field_name(field)
            if child is not None:
                special[child.start_byte] = self.as_is
        return self.children(node, special)

    def at_match_block(self, node):
        arms = [child for child in node.children if child.type == "match_arm"]
        last = arms[-1].child_by_field_name("pattern") if arms else None
        catches = last is not None and re.fullmatch(rb"_|[a-z_]+", self.text(last)) is not None
        special = {}
        if catches:
            special = {arm.start_byte: self.spare for arm in arms[:-1]}
        return self.children(node, special)

    def spare(self, arm):
        return self.at_match_arm(arm, True)

    def at_match_arm(self, node, spare=False):
        pattern = node.child_by_field_name("pattern")
        asked = pattern.child_by_field_name("condition")
        out = self.source[node.start_byte : pattern.start_byte]
        if asked is None:
            out += self.text(pattern)
            changes = [(f"arm {self.text(pattern).decode()} left out", b"")] if spare else []
            for mutant, _ in self.arms(node, changes):
                number = b"%08d" % mutant.id
                out += b" if !" + ARM + number + NAME + b"crate::mutant_on(" + number + b")" + END
        elif asked.type in ("let_condition", "let_chain"):
            out += self.source[pattern.start_byte : asked.start_byte] + self.node(asked)
        else:
            out += self.source[pattern.start_byte : asked.start_byte] + self.condition(asked, "guard")
        at = pattern.end_byte
        value = node.child_by_field_name("value")
        return out + self.source[at : value.start_byte] + self.node(value) + self.source[value.end_byte : node.end_byte]

    def at_expression_statement(self, node):
        inner = node.children[0]
        if self.text(node)[-1:] != b";":
            return self.children(node)
        tried = inner.children[0] if inner.type == "try_expression" else inner
        if tried.type not in ("call_expression", "assignment_expression", "compound_assignment_expr"):
            if not (tried.type == "macro_invocation" and self.text(tried).startswith(b"write")):
                return self.children(node)
        short = re.sub(r"\s+", " ", self.text(node).decode())
        what = f"left out: {short if len(short) < 80 else short[:77] + '...'}"
        base = self.children(node)
        for mutant, _ in self.arms(node, [(what, b"")]):
            number = b"%08d" % mutant.id
            place = b"if !crate::mutant_on(" + number + b") { " + base + b" }"
            base = PLACE + number + NAME + ARM + number + NAME + place + END + END
        return base


def finished(marked, first):
    """Marks taken out, ids given; the ranges of arms and places in the bytes that remain."""
    out, arms, places, open_ranges = bytearray(), [], [], []
    at = 0
    number = re.compile(rb"mutant_on\((\d{8})\)")
    for found in re.finditer(rb"([\x01\x02])(\d{8})\x03|\x04", marked):
        piece = number.sub(lambda m: b"mutant_on(%d)" % (int(m[1]) + first), marked[at : found.start()])
        out += piece
        at = found.end()
        if found[1]:
            open_ranges.append((found[1], int(found[2]) + first, len(out)))
        else:
            kind, name, start = open_ranges.pop()
            (arms if kind == ARM else places).append((start, len(out), name))
    out += number.sub(lambda m: b"mutant_on(%d)" % (int(m[1]) + first), marked[at:])
    return bytes(out), arms, places


class Copy:
    """The tree with every mutant in it."""

    def __init__(self, work, modules, only, sample=0, seed=1):
        self.work, self.tree, self.only = work, work / "tree", only
        self.target = os.environ.get("CARGO_TARGET_DIR", str(work / "target"))
        self.refused_file = work / "refused.json"
        self.refused = self.read_refused()
        self.modules = modules
        self.files = sorted(sources(modules))
        self.mutants, self.ranges = [], {}
        self.left_out = self.not_drawn(sample, seed) if sample else {}

    def not_drawn(self, sample, seed):
        """By file, the mutants that a sample leaves out: what the compiler refuses counts as drawn."""
        by_module = collections.defaultdict(list)
        for file in self.files:
            rewriter = Rewriter(file, (ROOT / "src" / file).read_bytes(), set())
            rewriter.run()
            by_module[self.module_of(file)] += [(mutant.key, file) for mutant in rewriter.mutants]
        out = collections.defaultdict(set)
        for module, drawn in by_module.items():
            drawn.sort()
            random.Random(f"{seed} {module}").shuffle(drawn)
            for key, file in drawn[sample:]:
                out[file].add(key)
        return out

    def module_of(self, file):
        """The one of --modules that a file is of; the nearest, if several are."""
        return max((module for module in self.modules if f"{file}/".startswith(f"{module}/")), key=len)

    def read_refused(self):
        """What the compiler refused before, of files that are as they were."""
        try:
            known = json.loads(self.refused_file.read_text())
        except FileNotFoundError:
            return {}
        return {file: entry for file, entry in known.items() if entry["digest"] == digest(ROOT / "src" / file)}

    def refuse(self, mutant):
        entry = self.refused.setdefault(mutant.file, {"digest": digest(ROOT / "src" / mutant.file), "keys": []})
        entry["keys"].append(mutant.key)

    def refused_count(self, module):
        return sum(len(entry["keys"]) for file, entry in self.refused.items() if file in self.files and self.module_of(file) == module)

    def write(self):
        """Writes what changed, so that cargo builds no more than it must."""
        self.mutants, self.ranges = [], {}
        wanted = {}
        for path in tracked():
            wanted[path] = (ROOT / path).read_bytes()
        for file in self.files:
            keys = set(self.refused.get(file, {"keys": []})["keys"]) | self.left_out.get(file, set())
            rewriter = Rewriter(file, wanted["src/" + file], keys)
            marked = rewriter.run()
            first = len(self.mutants) + 1
            for index, mutant in enumerate(rewriter.mutants):
                mutant.id = first + index
            self.mutants += rewriter.mutants
            out, arms, places = finished(marked, first)
            wanted["src/" + file] = out
            self.ranges["src/" + file] = (arms, places)
        count = 100_000
        if self.only:
            # Modules use those before them alone (tests/layers.rs): the others may be left away.
            declared = re.compile(rb"(?m)^(?:pub )?mod (\w+);\n")
            keep = lambda found: found[0] if found[1].decode() in self.only else b""
            wanted["src/lib.rs"] = declared.sub(keep, wanted["src/lib.rs"])
            del wanted["src/main.rs"]
            (self.tree / "src/main.rs").unlink(missing_ok=True)
            sections = rb"(?ms)^\[\[(?:bin|bench)\]\]\n.*?(?=^\[|\Z)"
            wanted["Cargo.toml"] = re.sub(sections, b"", wanted["Cargo.toml"])
        # Copies may share a target folder: each is a package of its own.
        name = b'name = "scant-%s"\n' % hashlib.sha256(str(self.work).encode()).hexdigest()[:8].encode()
        for path in ("Cargo.toml", "Cargo.lock"):
            wanted[path] = wanted[path].replace(b'name = "scant"\n', name, 1)
        # What overflows whenever it runs is a mutant like others.
        wanted["src/lib.rs"] = b"#![allow(arithmetic_overflow, unconditional_panic)]\n" + wanted["src/lib.rs"]
        wanted["src/lib.rs"] += (SWITCH % (count, count)).encode()
        # Lints are for the tree itself.
        manifest = wanted["Cargo.toml"].decode()
        wanted["Cargo.toml"] = re.sub(r"(?ms)^\[lints\.\w+\]\n.*?(?=^\[|\Z)", "", manifest).encode()
        for path, content in wanted.items():
            place = self.tree / path
            if not place.exists() or place.read_bytes() != content:
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)

    def cargo(self, *arguments):
        command = ["cargo", *arguments, "--message-format=json", "--quiet"]
        environment = {**os.environ, "CARGO_TARGET_DIR": self.target}
        run = subprocess.run(command, cwd=self.tree, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        messages = [json.loads(line) for line in run.stdout.splitlines() if line.startswith(b"{")]
        return run.returncode, messages, run.stderr.decode()

    def settle(self, wanted):
        """Leaves out what the compiler refuses, until it refuses nothing. Returns the test binaries."""
        for turn in range(1, 20):
            self.write()
            began = time.time()
            code, messages, said = self.cargo("test", "--no-run", *wanted)
            if code == 0:
                print(f"build {turn}: {len(self.mutants)} mutants, {time.time() - began:.0f} s", flush=True)
                return self.binaries(messages)
            blamed, unknown = set(), []
            for message in messages:
                inner = message.get("message") or {}
                if message.get("reason") == "compiler-message" and inner.get("level") == "error" and inner["spans"]:
                    found = self.blame(inner)
                    blamed |= found
                    if not found:
                        unknown.append(inner["rendered"])
            print(f"build {turn}: {len(blamed)} mutants refused, {time.time() - began:.0f} s", flush=True)
            if not blamed:
                sys.exit("the copy does not build and no mutant is to blame:\n" + "\n".join(unknown[:5]) + said[-2_000:])
            for mutant in self.mutants:
                if mutant.id in blamed:
                    self.refuse(mutant)
            self.refused_file.write_text(json.dumps(self.refused, indent=1))
        sys.exit("the copy does not settle")

    def blame(self, message):
        spans = [span for span in message["spans"] if span["is_primary"]]
        found = set()
        for span in spans:
            while span["file_name"] not in self.ranges and span.get("expansion"):
                span = span["expansion"]["span"]
            if span["file_name"] not in self.ranges:
                continue
            arms, places = self.ranges[span["file_name"]]
            start, end = span["byte_start"], span["byte_end"]
            holding = [arm for arm in arms if arm[0] <= start and end <= arm[1]]
            if holding:
                found.add(min(holding, key=lambda arm: arm[1] - arm[0])[2])
                continue
            holding = [place for place in places if place[0] <= start and end <= place[1]]
            if holding:
                inner = min(holding, key=lambda place: place[1] - place[0])
                found |= {arm[2] for arm in arms if inner[0] <= arm[0] and arm[1] <= inner[1]}
                continue
            found |= {arm[2] for arm in arms if arm[0] < end and start < arm[1]}
        return found

    def binaries(self, messages):
        found = {}
        for message in messages:
            if message.get("reason") == "compiler-artifact" and message.get("executable") and message["profile"]["test"]:
                kind = message["target"]["kind"]
                if kind == ["test"] or "lib" in kind:
                    found["lib" if "lib" in kind else message["target"]["name"]] = message["executable"]
        return found


def targets(asked):
    """What cargo is to build for these test binaries; for all, if none is asked for."""
    names = sorted(path.stem for path in (ROOT / "tests").glob("*.rs"))
    wanted = ["--lib"] if not asked or "lib" in asked else []
    return wanted + [word for name in names if not asked or name in asked for word in ("--test", name)]


def tracked():
    listed = subprocess.run(["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, stdout=subprocess.PIPE, check=True)
    return [path for path in listed.stdout.decode().splitlines() if (ROOT / path).is_file()]


def sources(modules):
    for module in modules:
        place = ROOT / "src" / module
        if place.suffix == ".rs":
            yield module
        else:
            yield from (str(path.relative_to(ROOT / "src")) for path in place.rglob("*.rs"))


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


class Tests:
    """Every test by itself: how long it takes and which mutants it reaches."""

    def __init__(self, copy, binaries, each):
        self.copy, self.binaries, self.each = copy, binaries, each
        self.seconds, self.reached = {}, {}
        self.failing, self.slow = [], []
        self.lock = threading.Lock()

    def run(self, binary, names, seconds, mutant=None, reached=None):
        """Returns passed, failed or late, the processor seconds it took, and a test that failed."""
        environment = {name: value for name, value in os.environ.items() if not name.startswith("SCANT_")}
        environment["CARGO_MANIFEST_DIR"] = str(self.copy.tree)
        environment["RAYON_NUM_THREADS"] = "1"
        if mutant is not None:
            environment["SCANT_MUTANT"] = str(mutant)
        if reached is not None:
            environment["SCANT_REACHED"] = str(reached)
        # Processor time, so that nothing is late because the machine is busy; and 6 GiB.
        limits = f'ulimit -t {int(seconds) + 1}; ulimit -v 6291456; exec nice -n 10 "$@"'
        with tempfile.TemporaryDirectory(prefix="mutant", dir=self.copy.work) as folder:
            environment["TMPDIR"] = folder
            said = pathlib.Path(folder, "said")
            process = subprocess.Popen(
                ["sh", "-c", limits, "sh", self.binaries[binary], "--exact", *names, "--test-threads=1", "-q"],
                cwd=self.copy.tree,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=said.open("wb"),
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
            began, pause, ended = time.time(), 0.002, (0, 0, None)
            while not ended[0] and time.time() - began < 20 * seconds + 60:
                time.sleep(pause)
                pause = min(pause * 1.5, 0.05)
                ended = os.wait4(process.pid, os.WNOHANG)
            # What it started may go on.
            try:
                os.killpg(process.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass
            if not ended[0]:
                os.wait4(process.pid, 0)
                process.returncode = -signal.SIGKILL
                return "late", seconds, None
            process.returncode = os.waitstatus_to_exitcode(ended[1])
            used = ended[2].ru_utime + ended[2].ru_stime
            if process.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
                return "late", used, None
            if process.returncode == 0:
                return "passed", used, None
            told = {line.strip().decode() for line in said.read_bytes().splitlines() if line.startswith(b"    ")}
            return "failed", used, next((name for name in names if name in told), None)

    def listed(self, binary):
        run = subprocess.run([self.binaries[binary], "--list"], cwd=self.copy.tree, stdout=subprocess.PIPE, check=True)
        return [line[: -len(": test")] for line in run.stdout.decode().splitlines() if line.endswith(": test")]

    def measure(self, jobs):
        cache_file = self.copy.work / "reached.jsonl"
        lines = cache_file.read_text().splitlines() if cache_file.exists() else []
        cache = {known["test"]: known for known in map(json.loads, lines)}
        library = digest(pathlib.Path(self.binaries.get("lib") or next(iter(self.binaries.values()))))
        wanted = []
        for binary, path in self.binaries.items():
            # What a test reaches changes with the binary, and with the program it may start.
            mark = f"{digest(pathlib.Path(path))} {library}"
            for name in self.listed(binary):
                wanted.append((binary, name, mark))

        def one(binary, name, mark):
            test = f"{binary} {name}"
            known = cache.get(test)
            if known is None or known["mark"] != mark or (known["answer"] == "late" and known["each"] < self.each):
                with tempfile.NamedTemporaryFile(dir=self.copy.work) as file:
                    answer, seconds, _ = self.run(binary, [name], self.each + 1, reached=file.name)
                    content = pathlib.Path(file.name).read_bytes()
                ids = sorted({int.from_bytes(content[at : at + 4], "little") for at in range(0, len(content) - 3, 4)})
                known = {"test": test, "mark": mark, "answer": answer, "seconds": round(seconds, 3), "ids": ids}
                known["each"] = self.each
                with self.lock, cache_file.open("a") as file:
                    file.write(json.dumps(known) + "\n")
            if known["answer"] == "failed":
                self.failing.append(test)
            elif known["answer"] == "late" or known["seconds"] > self.each:
                self.slow.append(test)
            else:
                self.seconds[binary, name] = known["seconds"]
                for id in known["ids"]:
                    self.reached.setdefault(id, []).append((binary, name))

        with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
            list(pool.map(lambda entry: one(*entry), wanted))
        # Starting takes longer than most tests: tests of one binary run together.
        for binary in self.binaries:
            start = min((seconds for (of, _), seconds in self.seconds.items() if of == binary), default=0)
            for test in self.seconds:
                if test[0] == binary:
                    self.seconds[test] = max(self.seconds[test] - start, 0.001)


class Campaign:
    """Runs mutants and keeps what came of them."""

    def __init__(self, copy, tests, options):
        self.copy, self.tests, self.options = copy, tests, options
        self.file = copy.work / "results.jsonl"
        self.lock = threading.Lock()
        self.found = collections.defaultdict(collections.Counter)
        self.results = {}
        digests = {file: digest(ROOT / "src" / file) for file in copy.files}
        self.digests = digests
        if self.file.exists():
            for line in self.file.read_text().splitlines():
                result = json.loads(line)
                if digests.get(result["file"]) == result["digest"]:
                    self.results[result["key"]] = result
                    if result.get("by"):
                        self.found[result["file"], result["function"]][tuple(result["by"])] += 1

    def order(self, mutant):
        """The tests that reach it: the quick ones and those that found its neighbours first."""
        tests = self.tests.reached.get(mutant.id, [])
        here = self.found[mutant.file, mutant.function]
        beside = collections.Counter()
        for (file, _), counter in list(self.found.items()):
            if file == mutant.file:
                beside.update(counter)

        def cost(test):
            return (self.tests.seconds[test] + 0.005) / (1 + 5 * here[test] + beside[test]), test

        return sorted(tests, key=cost)

    def one(self, mutant):
        with self.lock:
            tests = self.order(mutant)
        result = {
            "key": mutant.key,
            "file": mutant.file,
            "digest": self.digests[mutant.file],
            "line": mutant.line,
            "function": mutant.function,
            "what": mutant.what,
            "came": "missed" if tests else "unreached",
        }
        budget, spent, at, span = self.options.all, 0.0, 0, 0.3
        while at < len(tests) and spent < budget and result["came"] == "missed":
            # A few tests at a time, more each time.
            some, sum_of = [], 0.0
            while at < len(tests) and (not some or sum_of + self.tests.seconds[tests[at]] <= span):
                some.append(tests[at])
                sum_of += self.tests.seconds[tests[at]]
                at += 1
            span = min(span * 2, 10.0)
            spent += sum_of
            by_binary = {}
            for binary, name in some:
                by_binary.setdefault(binary, []).append(name)
            for binary, names in by_binary.items():
                usual = sum(self.tests.seconds[binary, name] for name in names)
                answer, _, failed = self.tests.run(binary, names, 10 + 10 * usual, mutant=mutant.id)
                if answer != "passed":
                    result["came"] = "late" if answer == "late" else "caught"
                    result["in"] = [binary, *names]
                    if failed:
                        result["by"] = [binary, failed]
                    break
        if at < len(tests):
            result["untried"] = len(tests) - at
        with self.lock:
            if result.get("by"):
                self.found[mutant.file, mutant.function][tuple(result["by"])] += 1
            self.results[mutant.key] = result
            with self.file.open("a") as file:
                file.write(json.dumps(result) + "\n")

    def run(self):
        todo = []
        for mutant in self.copy.mutants:
            known = self.results.get(mutant.key)
            if known is None or (self.options.again and known["came"] in ("missed", "unreached")):
                todo.append(mutant)
        if self.options.run:
            todo = [mutant for mutant in todo if mutant.file.startswith(tuple(self.options.run.split(",")))]
        began, done = time.time(), 0
        print(f"{len(todo)} mutants to run", flush=True)
        with concurrent.futures.ThreadPoolExecutor(self.options.jobs) as pool:
            for _ in pool.map(self.one, todo):
                done += 1
                if done % 50 == 0:
                    left = (time.time() - began) / done * (len(todo) - done)
                    print(f"{done} run, {left / 60:.0f} min left", flush=True)

    def table(self):
        counts = collections.defaultdict(collections.Counter)
        for mutant in self.copy.mutants:
            known = self.results.get(mutant.key)
            counts[self.copy.module_of(mutant.file)][known["came"] if known else "not run"] += 1
        print("| module | mutants | caught | too slow | missed | not built | not run |")
        print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
        for module, count in sorted(counts.items()):
            missed = count["missed"] + count["unreached"]
            built = sum(count.values())
            row = [built, count["caught"], count["late"], missed, self.copy.refused_count(module), count["not run"]]
            print(f"| `{module}` | " + " | ".join(str(number) for number in row) + " |")
        known = {mutant.key for mutant in self.copy.mutants}
        missed = [
            result
            for key, result in sorted(self.results.items(), key=lambda pair: (pair[1]["file"], pair[1]["line"]))
            if key in known and result["came"] in ("missed", "unreached")
        ]
        (self.copy.work / "missed.json").write_text(json.dumps(missed, indent=1, ensure_ascii=False))


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--modules", default="rules,plan,finish,larder,kitchen")
    parser.add_argument("--work", default=str(pathlib.Path(tempfile.gettempdir()) / "scant-mutants"))
    parser.add_argument("--only", default="")
    parser.add_argument("--run", default="")
    parser.add_argument("--tests", default="")
    parser.add_argument("--each", type=float, default=10.0)
    parser.add_argument("--all", type=float, default=90.0)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--again", action="store_true")
    parser.add_argument("--stop-after", choices=["rewrite", "build", "reach"], help="for work on this file")
    options = parser.parse_args()
    work = pathlib.Path(options.work).resolve()
    work.mkdir(parents=True, exist_ok=True)
    only = [name for name in options.only.split(",") if name]
    copy = Copy(work, options.modules.split(","), only, options.sample, options.seed)
    if options.stop_after == "rewrite":
        copy.write()
        print(len(copy.mutants), "mutants")
        return
    binaries = copy.settle(targets([name for name in options.tests.split(",") if name]))
    if options.stop_after == "build":
        return
    tests = Tests(copy, binaries, options.each)
    began = time.time()
    tests.measure(options.jobs)
    print(f"{len(tests.seconds)} tests measured, {time.time() - began:.0f} s; left out, over {options.each:g} s:")
    print("  " + ", ".join(sorted(tests.slow)))
    if tests.failing:
        # Such a test would catch everything.
        print("failing with no mutant on, so left out:\n  " + "\n  ".join(sorted(tests.failing)))
    print(f"{sum(1 for m in copy.mutants if m.id in tests.reached)} of {len(copy.mutants)} mutants reached", flush=True)
    if options.stop_after == "reach":
        return
    campaign = Campaign(copy, tests, options)
    try:
        campaign.run()
    finally:
        campaign.table()


if __name__ == "__main__":
    main()
