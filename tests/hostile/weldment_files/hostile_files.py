"""Damaged and hostile files, some hundreds, made the same way every time."""

from __future__ import annotations

import gzip
import io
import random
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from typing import TypeVar

from tests.hostile.weldment_files import sound_files as sound

T = TypeVar("T")
NUMBERS = (b"1e308", b"-1e308", b"1.E+999", b"nan", b"-inf", b"0.", b"1E-320", b"9" * 400, b"1e17", b"--3", b"$", b"*")
SOUND: Mapping[str, tuple[str, Callable[[], bytes]]] = {
    "block": ("block.step", sound.step),
    "tube": ("tube.step", sound.tube),
    "drawing": ("drawing.dxf", sound.drawing),
    "list": ("list.csv", sound.cut_list),
}


def hostile_files() -> dict[str, tuple[str, Callable[[], bytes]]]:
    """Return files by a name of their own: what each is called, and what makes it."""
    made = {name: (file, make) for name, file, make in (*_damaged(), *_special())}
    assert len(made) == sum(1 for _ in (*_damaged(), *_special())), "two of one name"
    return made


def _damaged() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    for name, (file, make) in SOUND.items():
        for twelfth in range(1, 12):
            yield (
                f"{name}, cut after {twelfth} twelfths",
                file,
                _after(make, lambda content, at: content[: len(content) * at // 12], twelfth),
            )
        for seed in range(14):
            yield f"{name}, bytes changed, {seed}", file, _after(make, _changed, seed)
        for seed in range(8):
            yield f"{name}, lines left out, {seed}", file, _after(make, _thinned, seed)
        for number in NUMBERS:
            yield f"{name}, numbers {number[:8].decode()}", file, _after(make, _numbered, number)


def _after(make: Callable[[], bytes], act: Callable[[bytes, T], bytes], by: T) -> Callable[[], bytes]:
    return lambda: act(make(), by)


def _changed(content: bytes, seed: int) -> bytes:
    chance, found = random.Random(seed), bytearray(content)
    for _ in range(1 + 4 * seed):
        found[chance.randrange(20, len(found))] = chance.randrange(256)
    return bytes(found)


def _thinned(content: bytes, seed: int) -> bytes:
    chance, lines = random.Random(seed), content.splitlines(keepends=True)
    return b"".join(line for k, line in enumerate(lines) if k < 2 or chance.random() > 0.03 * (1 + seed))


def _numbered(content: bytes, number: bytes) -> bytes:
    """Put a number in place of every seventh."""
    places = [found.span() for found in re.finditer(rb"(?<![\w#$'])-?\d+\.\d*(?:[eE][+-]?\d+)?|(?<=,)\d+(?=\n)", content)]
    for start, end in reversed(places[3::7]):
        content = content[:start] + number + content[end:]
    return content


def _special() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    yield from _of_no_kind()
    yield from _of_step()
    yield from _of_dxf()
    yield from _of_csv()


def _zip(content: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("a", content)
    return held.getvalue()


def _of_no_kind() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    for suffix in ("step", "dxf", "csv"):
        yield f"empty {suffix}", f"a.{suffix}", lambda: b""
        yield f"blanks as {suffix}", f"a.{suffix}", lambda: b" \r\n\t\0" * 1000
        yield f"zip bomb as {suffix}", f"a.{suffix}", lambda: _zip(b"\0" * 50_000_000)
        yield f"gzip bomb as {suffix}", f"a.{suffix}", lambda: gzip.compress(b"\0" * 50_000_000, mtime=0)
        yield f"any bytes as {suffix}", f"a.{suffix}", lambda: random.Random(1).randbytes(200_000)
        yield f"deflated as {suffix}", f"a.{suffix}", lambda: zlib.compress(b"x" * 1000)
        yield f"a document as {suffix}", f"a.{suffix}", lambda: b"%PDF-1.7\n" + b"x" * 1000
        yield f"a page as {suffix}", f"a.{suffix}", lambda: b"<html>" * 1000
        yield f"too large as {suffix}", f"a.{suffix}", lambda: sound.step() + b" " * 20_000_001
    for file, make in SOUND.values():
        yield f"UTF-16 {file}", file, _after(make, lambda content, to: content.decode().encode(to), "utf-16")
        yield f"line ends of CR alone, {file}", file, _after(make, lambda content, end: content.replace(b"\n", end), b"\r")
        yield f"all in capitals, {file}", file, _after(make, lambda content, _: content.upper(), None)
        yield f"twice, {file}", file, _after(make, lambda content, times: content * times, 2)
        yield f"and then zeros, {file}", file, _after(make, lambda content, more: content + more, b"\0" * 100_000)


def _in_data(text: str) -> bytes:
    """A block with more entities."""
    return sound.step().replace(b"DATA;", b"DATA;\n" + text.encode(), 1)


def _of_step() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    step = sound.step
    makes: dict[str, Callable[[], bytes]] = {
        "10,000 solids": lambda: sound.one_shell(10_000),
        "as many solids as there is room for": lambda: sound.many_blocks(2_700),
        "1,000 solids": lambda: sound.many_blocks(1_000),
        "an entity that refers to itself": lambda: re.sub(rb"(#\d+) ?= ?ADVANCED_FACE\('',\(#\d+", rb"\1=ADVANCED_FACE('',(\1", step()),
        "references beyond the file": lambda: re.sub(rb"#(\d+)\)", rb"#9\1)", step()),
        "numbers of entities without end": lambda: step().replace(b"#", b"#9999999999999999999"),
        "all entities of one number": lambda: re.sub(rb"(?m)^#\d+", b"#1", step()),
        "brackets 100,000 deep": lambda: _in_data("#900001=CARTESIAN_POINT(''," + "(" * 100_000 + "0." + ")" * 100_000 + ");"),
        "brackets that never close": lambda: _in_data("#900001=CARTESIAN_POINT(''," + "(" * 500_000),
        "a header of 5 MB": lambda: step().replace(b"FILE_NAME('", b"FILE_NAME('" + b"x" * 5_000_000, 1),
        "a text that never ends": lambda: step().replace(b"DATA;", b"DATA;\n#900001=PRODUCT('" + b"x" * 1_000_000, 1),
        "a comment that never ends": lambda: step().replace(b"DATA;", b"DATA; /*", 1),
        "a million points of no use": lambda: _in_data("".join(f"#{k}=CARTESIAN_POINT('',(0.,0.,0.));" for k in range(10**6, 10**6 + 300_000))),
        "no data": lambda: step().split(b"DATA;")[0] + b"DATA;\nENDSEC;\nEND-ISO-10303-21;\n",
        "a name that steers": lambda: step().replace(b"PRODUCT('", b"PRODUCT('\x1b[2J\x07\\X2\\0007\\X0\\", 1),
        "no units": lambda: re.sub(rb"SI_UNIT\([^)]*\)", b"SI_UNIT($,$)", step()),
        "units of nothing": lambda: step().replace(b".MILLI.", b".EXA."),
        "a spline of degree 50": lambda: _in_data(_surface(50, 60)),
        "a surface of 400 x 400 points": lambda: _in_data(_surface(3, 400)),
        "a spline of degree -1": lambda: _in_data(_surface(-1, 4)),
        "assemblies in a circle": lambda: _in_data(_circle_of_assemblies()),
        "assemblies in each other, 2^30 solids": lambda: _in_data(_doubled_assemblies(30)),
        "another schema": lambda: re.sub(rb"FILE_SCHEMA\(\(.*?\)\)", b"FILE_SCHEMA(('IFC4'))", step(), flags=re.S),
        "no schema": lambda: re.sub(rb"FILE_SCHEMA\(\(.*?\)\);", b"", step(), flags=re.S),
        "only its first line": lambda: b"ISO-10303-21;",
    }  # fmt: skip
    for name, make in makes.items():
        yield f"STEP: {name}", "a.step", make


def _surface(degree: int, count: int) -> str:
    points = "".join(f"#{10**7 + k}=CARTESIAN_POINT('',({k % count}.,{k // count}.,{k % 7}.));" for k in range(count * count))
    rows = ",".join("(" + ",".join(f"#{10**7 + k * count + j}" for j in range(count)) + ")" for k in range(count))
    knots = f"({degree + 1},{degree + 1}),({degree + 1},{degree + 1}),(0.,1.),(0.,1.)"
    return (
        points
        + f"#900001=B_SPLINE_SURFACE_WITH_KNOTS('',{degree},{degree},({rows}),.UNSPECIFIED.,.F.,.F.,.F.,{knots},.UNSPECIFIED.);"
    )


def _assembly(number: int, of: int) -> str:
    """An assembly of two of another: products, their shapes and the usages of one in the other."""
    base = 800_000 + 100 * number
    other = 800_000 + 100 * of
    return (
        f"#{base}=PRODUCT('a{number}','a{number}','',());#{base + 1}=PRODUCT_DEFINITION_FORMATION('','',#{base});"
        f"#{base + 2}=PRODUCT_DEFINITION('','',#{base + 1},$);#{base + 3}=PRODUCT_DEFINITION_SHAPE('','',#{base + 2});"
        f"#{base + 4}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('u','','',#{base + 2},#{other + 2},$);"
        f"#{base + 5}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('v','','',#{base + 2},#{other + 2},$);"
    )


def _circle_of_assemblies() -> str:
    return _assembly(1, 2) + _assembly(2, 3) + _assembly(3, 1)


def _doubled_assemblies(deep: int) -> str:
    return "".join(_assembly(k, k + 1) for k in range(deep))


def _of_dxf() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    dxf, square, polyline = sound.dxf, sound.square, sound.polyline
    bomb = [sound.block(f"b{k}", [sound.insert(f"b{k + 1}", 10.0 * j) for j in range(10)]) for k in range(10)]
    makes: dict[str, Callable[[], bytes]] = {
        "10,000 outlines": lambda: dxf(square(30.0 * (k % 100), 30.0 * (k // 100), 20) for k in range(10_000)),
        "3,000 outlines in each other": lambda: dxf(square(-k, -k, 2.0 * k) for k in range(1, 3_000)),
        "a crossing outline": lambda: dxf([polyline([(0, 0), (100, 100), (100, 0), (0, 100)])]),
        "a star that crosses itself 10,000 times": lambda: dxf([polyline(_star(201))]),
        "5,000 crossing lines": lambda: dxf(_lines(5_000)),
        "a spline of 200,000 points": lambda: dxf([sound.spline(3, [(k, k % 3) for k in range(200_000)])]),
        "a spline of degree 50": lambda: dxf([sound.spline(50, [(k, k % 3) for k in range(1_000)])]),
        "a spline of degree 0": lambda: dxf([sound.spline(0, [(k, k % 3) for k in range(10)])]),
        "a spline of degree -5": lambda: dxf([sound.spline(-5, [(k, k % 3) for k in range(10)], [0, 1, 2])]),
        "a spline with knots that go back": lambda: dxf([sound.spline(3, [(k, k % 3) for k in range(10)], list(range(14, 0, -1)))]),
        "a spline without points": lambda: dxf([sound.spline(3, [], [0, 0, 0, 0])]),
        "a spline that returns": lambda: dxf([sound.spline(3, [(1e9 * (-1) ** k, k) for k in range(100)])]),
        "a polyline of 300,000 points": lambda: dxf([polyline([(k % 1000, k // 1000) for k in range(300_000)])]),
        "a polyline of one point": lambda: dxf([polyline([(0, 0)])]),
        "a polyline on one spot": lambda: dxf([polyline([(5, 5)] * 50)]),
        "bulges without end": lambda: dxf([polyline([(0, 0, 1e300), (100, 0, -1e300), (100, 100, 1e-300)])]),
        "a circle of radius 0": lambda: dxf([sound.circle(0, 0, 0)]),
        "a circle of radius -5": lambda: dxf([sound.circle(0, 0, -5)]),
        "a circle of radius 1e308": lambda: dxf([sound.circle(0, 0, 1e308)]),
        "a circle nowhere": lambda: dxf([sound.circle("nan", "inf", 5)]),
        "100,000 circles": lambda: dxf(sound.circle(k % 300, k // 300, 0.4) for k in range(100_000)),
        "a block in itself": lambda: dxf([sound.insert("a")], [sound.block("a", [sound.insert("a"), square(0, 0, 10)])]),
        "blocks in a circle": lambda: dxf(
            [sound.insert("a")],
            [sound.block("a", [sound.insert("b")]), sound.block("b", [sound.insert("c")]), sound.block("c", [sound.insert("a")])],
        ),
        "10^10 squares in blocks": lambda: dxf([sound.insert("b0")], [*bomb, sound.block("b10", [square(0, 0, 1)])]),
        "10^9 rows and columns": lambda: dxf(
            [sound.insert("a", columns=32_000, rows=32_000, wide=5, high=5)], [sound.block("a", [square(0, 0, 1)])]
        ),
        "a block that is not there": lambda: dxf([sound.insert("gone")]),
        "a block scaled to nothing": lambda: dxf([sound.insert("a", scale=0.0)], [sound.block("a", [square(0, 0, 1)])]),
        "a block scaled beyond all": lambda: dxf([sound.insert("a", scale=1e300)], [sound.block("a", [square(0, 0, 1)])]),
        "2,000 blocks deep": lambda: dxf(
            [sound.insert("b0")], [*(sound.block(f"b{k}", [sound.insert(f"b{k + 1}")]) for k in range(2_000)), sound.block("b2000", [square(0, 0, 9)])]
        ),
        "coordinates of 1e308": lambda: dxf([polyline([(1e308, 1e308), (-1e308, 1e308), (0, -1e308)])]),
        "coordinates far off": lambda: dxf([square(1e12, 1e12, 100)]),
        "a square of a billionth": lambda: dxf([square(0, 0, 1e-9)]),
        "units that are none": lambda: dxf([square(0, 0, 100)], units=99),
        "units of light years": lambda: dxf([square(0, 0, 100)], units=19),
        "units in words": lambda: dxf([square(0, 0, 100)], units="many"),
        "a version of nowhere": lambda: dxf([square(0, 0, 100)], version="AC9999"),
        "a version from long ago": lambda: dxf([square(0, 0, 100)], version="AC1006"),
        "layers that steer": lambda: dxf([polyline([(0, 0), (9, 0), (9, 9)], layer="t8\x1b[2J\x07" + "x" * 5000)]),
        "a text of 5 MB": lambda: dxf([[(0, "TEXT"), (8, "0"), (10, 5), (20, 5), (40, 3), (1, "x" * 5_000_000)], square(0, 0, 100)]),
        "an entity without its parts": lambda: dxf([[(0, word)] for word in ("LINE", "ARC", "SPLINE", "INSERT", "ELLIPSE", "HATCH", "POLYLINE")]),
        "tags that are no numbers": lambda: b"0\nSECTION\n" + b"x\ny\n" * 1000,
        "sections that never end": lambda: b"0\nSECTION\n2\nENTITIES\n" * 50_000,
        "only its first lines": lambda: b"0\nSECTION\n",
        "binary that breaks off": lambda: b"AutoCAD"[:7] + b" Binary DXF\r\n\x1a\x00" + b"\x00\x00SECTION\x00\x02\x00",
        "binary of any bytes": lambda: b"AutoCAD"[:7] + b" Binary DXF\r\n\x1a\x00" + random.Random(2).randbytes(100_000),
    }  # fmt: skip
    for name, make in makes.items():
        yield f"DXF: {name}", "a.dxf", make


def _star(corners: int) -> list[tuple[float, float]]:
    from math import cos, pi, sin

    step = corners // 2
    return [(1000 * cos(2 * pi * k * step / corners), 1000 * sin(2 * pi * k * step / corners)) for k in range(corners)]


def _lines(count: int) -> Iterator[list[sound.Tag]]:
    chance = random.Random(3)
    for _ in range(count):
        x, y, u, v = (round(chance.uniform(0, 1000), 3) for _ in range(4))
        yield [
            (0, "LINE"),
            (100, "AcDbEntity"),
            (8, "0"),
            (100, "AcDbLine"),
            (10, x),
            (20, y),
            (30, 0),
            (11, u),
            (21, v),
            (31, 0),
        ]


def _of_csv() -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    head = b"part,designation,length\n"
    makes: dict[str, Callable[[], bytes]] = {
        "1,000,000 rows": lambda: head + b"a,SHS 50x50x3,9\n" * 1_000_000,
        "5,000 rows": lambda: head + b"".join(b"p%d,SHS 50x50x3,600\n" % k for k in range(5_000)),
        "quotes that never close": lambda: head + b'"post,SHS 50x50x3,600\n' * 10_000,
        "a cell of 4 MB": lambda: head + b"p," + b"S" * 4_000_000 + b",600\n",
        "100,000 columns": lambda: b"part" + b",x" * 100_000 + b"\n" + b"p" + b",1" * 100_000 + b"\n",
        "a zero byte": lambda: head + b"po\0st,SHS 50x50x3,600\n",
        "formulas": lambda: head + b"=1+1,@SUM(A1),-600\n",
        "sizes without end": lambda: head + b"p,SHS 1e308x1e308x1e308,nan\n",
        "digits without end": lambda: head + b"p,SHS " + b"9" * 100_000 + b"x50x3,600\n",
        "a pattern's worst": lambda: head + b"p," + b"SHS " + b"5" * 5_000 + b"x" * 5_000 + b",600\n",
        "a heading alone": lambda: head,
        "no heading": lambda: b"post,SHS 50x50x3,600\n",
        "columns twice": lambda: b"part,part,designation,designation,length,length\na,b,c,d,1,2\n",
        "another alphabet": lambda: "part,designation,length\n\u0440,\u0421 50,600\n".encode("cp1251"),
        "half a surrogate": lambda: head + b"\xed\xa0\x80,SHS 50x50x3,600\n",
        "a separator alone": lambda: b",\n",
        "sep of nothing": lambda: b"sep=\n" + head,
    }  # fmt: skip
    for name, make in makes.items():
        yield f"CSV: {name}", "a.csv", make
