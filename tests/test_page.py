"""The page in a real browser: from disk, by mouse, keys and address, printed, without WebGL, and under attack."""

from __future__ import annotations

import json
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.command.main import main
from planlint.drawings.page_data import page_data
from planlint.drawings.page_html import page, sheets_page
from planlint.drawings.primitives import Line, Sheet, Text
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.reports.safe_words import visible
from planlint.text.source import PlanText
from planlint.workplan.work_steps import work_steps
from tests.browser import THERE, WHY, browser, complaints, opened
from tests.solids import tried
from tests.test_sheets import DEMO, inspected, piece_of

in_browser = pytest.mark.skipif(not THERE, reason=WHY)
BENCH = next(path for path in DEMO if path.stem == "workbench")
HOSTILE = (
    "</script><script>window.hit=1</script><img src=x onerror='window.hit=1'>&{{7*7}}</style><b>木工"
    "</text></svg><svg onload='window.hit=1'><animate onbegin='window.hit=1'/></title></desc><!-->"
    "<script>window.hit=1</script>"
    "<a href='javascript:window.hit=1'>' autofocus onfocus='window.hit=1' x='${window.hit=1}`+window.hit=1+`"
    "<style>*{display:none}@import 'data:text/css,'</style>;}body{background:url(data:,x)}<base href='//x/'>"
    "<meta http-equiv=refresh content='0;url=data:text/html,x'>"
    "<iframe srcdoc='<script>parent.hit=1</script>'></iframe>]]>"
)


def page_of(inspection: Inspection) -> str:
    assert inspection.piece is not None
    return page(inspection.piece, inspection.findings)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "bench.html"
    path.write_text(page_of(inspected(BENCH)), "utf-8")
    return path


@pytest.fixture(scope="module")
def driver() -> Iterator[Any]:
    with browser() as found:
        yield found


def state(driver: Any) -> Any:
    return driver.execute_script("return JSON.parse(JSON.stringify(window.planPage.state))")


def eye(driver: Any) -> list[float]:
    found = driver.execute_script("return window.planPage.camera.position.toArray()")
    return [round(float(each), 3) for each in found]


def click(driver: Any, selector: str) -> None:
    driver.execute_script("document.querySelector(arguments[0]).click()", selector)


def key(driver: Any, name: str) -> None:
    driver.execute_script(
        "document.getElementById('view').dispatchEvent(new KeyboardEvent('keydown',{key:arguments[0],bubbles:true}))",
        name,
    )


@in_browser
def test_before_and_after_stand_side_by_side_on_a_phone(tmp_path: Path) -> None:
    """What has changed is seen without turning the page aside."""
    file = tmp_path / "both.html"
    assert main(["mend", str(BENCH), "--show", "--write", f"page={file}"]) in {0, 1}
    with browser(wide=500, graphics=False) as phone:
        opened(phone, file)
        rights = "return [...document.querySelectorAll('.drawings .sheet')].map(s => s.getBoundingClientRect().right)"
        assert 0 < max(phone.execute_script(rights)) <= phone.execute_script("return innerWidth")


@in_browser
def test_it_opens_from_disk_and_all_its_hands_work(driver: Any, bench: Path) -> None:
    opened(driver, bench)
    assert driver.find_element("id", "look").is_displayed()
    findings = inspected(BENCH).findings
    for number in range(1, len(findings) + 1):
        click(driver, f"[data-finding='{number}']")
        assert state(driver)["finding"] == number - 1
        assert findings[number - 1].says in driver.find_element("id", "told").text
        assert driver.execute_script("return location.hash") == f"#finding={number}"
    click(driver, "[data-part='3']")
    name = json.loads(driver.find_element("id", "data").get_attribute("textContent"))["parts"][3]["name"]
    assert state(driver)["part"] == 3
    assert name in driver.find_element("id", "told").text
    click(driver, "#glass")
    assert driver.find_element("id", "glass").get_attribute("aria-pressed") == "true"
    click(driver, "#hide")
    assert driver.find_element("id", "hide").get_attribute("aria-pressed") == "true"
    slider = "const s=document.getElementById(arguments[0]);s.value=arguments[1];s.dispatchEvent(new Event('input'))"
    driver.execute_script(slider, "steps", 2)
    assert state(driver)["step"] == 2
    driver.execute_script(slider, "apart", 60)
    assert state(driver)["apart"] == 0.6
    click(driver, "#all")
    assert state(driver) == {"part": None, "finding": None, "joint": None, "step": 0, "apart": 0}
    assert complaints(driver) == []


@in_browser
def test_a_click_on_the_picture_picks_what_lies_there(driver: Any, bench: Path) -> None:
    from selenium.webdriver import ActionChains  # noqa: PLC0415

    opened(driver, bench, "#view=top")
    canvas = driver.find_element("id", "view")
    driver.execute_async_script("setTimeout(arguments[0], 600)")
    ActionChains(driver).move_to_element(canvas).click().perform()
    assert "bench_top" in driver.find_element("id", "told").text
    ActionChains(driver).move_to_element(canvas).click_and_hold().move_by_offset(80, 30).release().perform()
    assert state(driver)["part"] is not None  # A turn is not a pick.


@in_browser
def test_keys_turn_pick_and_step(driver: Any, bench: Path) -> None:
    opened(driver, bench)
    seen = [eye(driver)]
    for name in ("ArrowLeft", "ArrowUp", "+", "-"):
        key(driver, name)
        seen.append(eye(driver))
        assert seen[-1] != seen[-2]
    key(driver, "n")
    assert state(driver)["finding"] == 0
    key(driver, "p")
    assert state(driver)["finding"] == len(inspected(BENCH).findings) - 1
    key(driver, "]")
    assert state(driver)["step"] == 1
    key(driver, "[")
    assert state(driver)["step"] == 0
    key(driver, "e")
    assert state(driver)["apart"] == 0.5
    key(driver, "Escape")
    assert state(driver)["apart"] == 0
    assert driver.execute_script("return document.getElementById('view').tabIndex") == 0


ADDRESSES = (
    ("#finding=2", "finding", 1),
    ("#step=3", "step", 3),
    ("#part=bench_top", "part", None),
    ("#part=nobody", "part", None),
    ("#finding=99", "finding", None),
    ("#finding=%E0%A4%A", "finding", None),
    ("#constructor=1", "part", None),
    ("#view=constructor", "part", None),
)


@in_browser
def test_the_address_says_what_is_picked(driver: Any, bench: Path) -> None:
    names = [part.name for part in piece_of(BENCH).plan.parts]
    for behind, what, value in ADDRESSES:
        opened(driver, bench, behind)
        wanted = names.index("bench_top") if behind == "#part=bench_top" else value
        assert state(driver)[what] == wanted, behind
    assert complaints(driver) == []


@in_browser
def test_a_screen_reader_is_told_every_finding_part_and_step(driver: Any, bench: Path) -> None:
    opened(driver, bench)
    nodes = driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    buttons = [
        node["name"]["value"]
        for node in nodes
        if node.get("role", {}).get("value") == "button" and "name" in node
    ]
    inspection = inspected(BENCH)
    for finding in inspection.findings:
        assert any(finding.rule in name and " ".join(finding.says.split()) in name for name in buttons)
    assert inspection.piece is not None
    for part in inspection.piece.plan.parts:
        assert any(name.startswith(part.name) for name in buttons)
    for number in range(1, len(work_steps(inspection.piece)) + 1):
        assert any(name.startswith(f"Step {number}:") for name in buttons)
    roles = {node.get("role", {}).get("value") for node in nodes}
    assert "slider" in roles


@in_browser
def test_it_prints_its_drawings(driver: Any, bench: Path, tmp_path: Path) -> None:
    from base64 import b64decode  # noqa: PLC0415

    import pdfplumber  # noqa: PLC0415

    opened(driver, bench)
    to = tmp_path / "print.pdf"
    to.write_bytes(b64decode(driver.print_page()))
    with pdfplumber.open(to) as printed:
        text = " ".join(page.extract_text() or "" for page in printed.pages)
        assert len(printed.pages) > len(inspected(BENCH).findings)
    assert "tip-through" in text
    assert "Pulled apart" not in text


@in_browser
def test_without_webgl_the_drawings_stand_there(bench: Path) -> None:
    with browser(graphics=False) as plain:
        opened(plain, bench)
        assert plain.find_element("id", "flat").is_displayed()
        assert not plain.find_element("id", "look").is_displayed()
        assert plain.find_element("css selector", "#piece svg").is_displayed()
        assert [words for words in complaints(plain) if "WebGL" not in words and "GL_" not in words] == []


@in_browser
def test_without_scripts_the_drawings_and_findings_stand_there(bench: Path) -> None:
    with browser(scripts=False) as plain:
        opened(plain, bench)
        assert not plain.find_element("id", "look").is_displayed()
        assert plain.find_element("css selector", "#piece svg").is_displayed()
        assert "Without scripts" in plain.find_element("id", "side").text
        for number, finding in enumerate(inspected(BENCH).findings, 1):
            assert " ".join(finding.says.split()) in plain.find_element("id", "side").text
            plain.find_element("css selector", f"a[href='#finding-{number}']").click()
            assert plain.find_element("css selector", f"#finding-{number} svg").is_displayed()


def hostile_plan() -> PlanText:
    """A plan whose words would do harm where they were taken for more than words."""
    return PlanText(
        "x.plan",
        f'plan "{HOSTILE}"\n    unit mm\n    seen from front\n\nstock board of pine, 19 x 90\n\n'
        "part rail of board, 500 long, crosswise, facing front\npart post of board, 700 long, upright, facing front\n\n"
        "join rail.left to post.right\n    flush top, front\n    pockets 1 in front\n    screws coarse 32\n\n"
        f'accept lone-screw on rail.right because "{HOSTILE}"\n',
    )


@in_browser
@pytest.mark.parametrize("graphics", [True, False])
def test_words_of_a_plan_stay_words(tmp_path: Path, graphics: bool) -> None:
    inspection = inspect_text(hostile_plan())
    assert inspection.piece is not None, inspection.unread
    to = tmp_path / "hostile.html"
    to.write_text(page_of(inspection), "utf-8")
    with browser(graphics=graphics) as found:
        opened(found, to)
        assert found.execute_script("return window.hit") is None
        assert found.title == HOSTILE
        assert found.find_element("css selector", "h1").text == HOSTILE
        assert (
            found.execute_script(
                "return document.querySelectorAll("
                "'img,b,a,base,iframe,object,embed,link,animate,[onload],[onfocus]').length"
            )
            == 0
        )
        assert found.execute_script("return getComputedStyle(document.body).display") == "block"
        assert [words for words in complaints(found) if "Content Security Policy" in words] == []
        assert found.execute_script("return document.scripts.length") == 3
        said = found.execute_script("return performance.getEntriesByType('resource').length")
        assert said == 0


@in_browser
def test_names_of_folders_files_and_settings_stay_words(
    driver: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What reaches a collection's index and its pages besides the plans' own words."""
    name = "<img src=x onerror='window.hit=1'>&{{7*7}}<script>window.hit=1<b>"
    (tmp_path / name).mkdir()
    (tmp_path / name / "javascript:window.hit=1.plan").write_bytes(BENCH.read_bytes())
    lines = f'[folders."{name}".rules]\nlone-screw = "advice"\n[screws]\nlengths = ["1-1/4 in"]\n'
    (tmp_path / "planlint.toml").write_text(lines, "utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["inspect", ".", "--write", "page=pages"]) == 1
    pages = [tmp_path / "pages" / "index.html", *(tmp_path / "pages" / name).iterdir()]
    assert len(pages) == 2
    for page_there in pages:
        opened(driver, page_there)
        assert driver.execute_script("return window.hit") is None
        assert driver.execute_script("return document.querySelectorAll('img,b,iframe').length") == 0
    opened(driver, pages[0])
    assert name in driver.find_element("css selector", "body").text
    driver.find_element("css selector", "a").click()
    assert driver.title == "Workbench"


@in_browser
def test_two_hundred_parts_stay_smooth(tmp_path: Path) -> None:
    """A frame's own work, by the browser's clock; what the graphics take is the machine's (here: software)."""
    lines = [
        'plan "Rack"',
        "",
        "stock slat_wood of pine, 1x2",
        "part post of slat_wood, 800 long, deep, facing left",
        "",
    ]
    lines += [
        "for n in 1 to 199",
        "    part slat_{n} of slat_wood, 24 long, crosswise, facing up",
        "    join slat_{n}.bottom to post.top",
        "        flush left",
        "        (n - 1) * 4 from front",
        "        glued",
    ]
    inspection = inspect_text(PlanText("rack.plan", "\n".join(lines) + "\n"))
    assert inspection.piece is not None, inspection.unread
    to = tmp_path / "rack.html"
    to.write_text(page_of(inspection), "utf-8")
    with browser(wide=640, high=480) as found:
        opened(found, to)
        for _ in range(40):
            found.execute_script("window.planPage.turn(0.1, 0)")
            found.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")
        frames = sorted(found.execute_script("return window.planPage.frames.slice(5)"))
        assert frames[len(frames) // 2] < 33
        assert "steps have no drawings here" in found.find_element("css selector", ".drawings").text


def test_the_data_of_a_page_is_plain() -> None:
    inspection = inspect_text(hostile_plan())
    assert inspection.piece is not None
    data = page_data(inspection.piece, inspection.findings, work_steps(inspection.piece), {})
    assert json.loads(json.dumps(data, allow_nan=False)) is not None
    text = page_of(inspection)
    assert "<script>window.hit" not in text
    assert "<img src=x" not in text
    assert text.count("</script>") == 3
    assert "default-src 'none'" in text


class _Parsed(HTMLParser):
    """The elements of a page, and all that is no element."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, tuple[str, ...]]] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data


HARM = (
    *(
        "<",
        ">",
        "'",
        '"',
        "&",
        "`",
        "</",
        "-->",
        "<!--",
        "]]>",
        "{{",
        "${",
        "=",
        "/",
        " ",
        "\u2028",
        "\\",
        "a",
        "木",
    ),
    *("script", "</title>", "</desc>", "style", "svg", "on=", "&lt;", "&#60;", "\\u003c", "javascript:"),
)
"""What markup is made of."""
EDGE = Line("seen", ((0.0, 0.0), (1.0, 1.0)))


@given(st.lists(st.sampled_from(HARM), min_size=1, max_size=14).map("".join))
@tried(60)
def test_no_words_become_elements(words: str) -> None:
    """Titles made of what markup is made of, on a sheet and on the page round it."""
    text, plain = (
        sheets_page(said, [said], [Sheet("name", said, said, 10.0, 10.0, (Text((1.0, 1.0), said), EDGE))])
        for said in (words, "x")
    )
    got = _Parsed(text)
    assert got.found == _Parsed(plain).found
    assert got.words.count(visible(words)) >= 4


def test_a_page_is_the_same_each_time() -> None:
    assert page_of(inspected(BENCH)) == page_of(inspected(BENCH))


def test_draw_makes_each_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for form, start in (("html", b"<!doctype html>"), ("pdf", b"%PDF-"), ("glb", b"glTF")):
        to = tmp_path / f"a.{form}"
        assert main(["draw", str(DEMO[0]), "--to", str(to)]) == 0
        assert to.read_bytes().startswith(start)
    assert main(["draw", str(DEMO[0]), "--to", str(tmp_path / "a.html"), "--part", "x"]) == 2
    assert main(["draw", str(DEMO[0]), "--to", str(tmp_path / "a.dwg")]) == 2
    assert "end it in .svg, .pdf, .html, .glb" in capsys.readouterr().err
