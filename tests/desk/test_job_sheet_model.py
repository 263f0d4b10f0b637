"""The job sheet without a window: cells, jobs, edits and undo."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.exchange.job_csv import COLUMNS, read_jobs
from queueplanner.shop.errors import BadInput
from queueplanner.shop.job import WorkStyle
from tests.desk.sheets import Listener, job, key_of, sheet, some_jobs
from tests.exchange.job_lists import DAY, demo_shop, list_text


def content(model: JobSheetModel) -> list[dict[str, str]]:
    return [dict(row.cells) for row in model.rows]


def test_jobs_become_rows_and_rows_the_same_jobs() -> None:
    model = sheet()
    assert list(model.jobs) == some_jobs()
    assert model.shown(key_of(model, "1047"), "inks") == "Harbour blue + Warm grey"
    assert model.drafts() == []


def test_a_row_becomes_a_job_when_all_its_cells_are_right() -> None:
    told = Listener()
    model = sheet([], told)
    key = model.add_row({"job": "1", "sheets": "500"})
    model.set_cells(key, {"stock": "Bond 75 g/m²", "format": "a4"})
    assert told.told == []
    assert model.drafts() == [{"job": "1", "sheets": "500", "stock": "bond-75", "format": "A4"}]
    assert set(model.problems(key)) == {"inks"}
    model.set_cell(key, "inks", "black")
    assert told.last == ("set_cell", {"rows": 1, "job": "1", "columns": ["inks"]}, {"1": job(sheets="500")})
    assert model.job_of(key) == job(sheets="500")
    assert model.drafts() == []


def test_a_slip_takes_no_job_out_of_the_day() -> None:
    told = Listener()
    model = sheet(listener=told)
    key = key_of(model, "1047")
    model.set_cell(key, "sheets", "15OO")
    assert told.told == []
    assert model.problem(key, "sheets").found == "'15OO'"
    assert model.shown(key, "title") == "Letterheads"
    assert list(model.jobs) == some_jobs()
    model.set_cell(key, "sheets", "1600")
    assert told.last[2] == {"1047": model.job_of(key)}


def test_a_job_with_another_docket_is_another_job() -> None:
    told = Listener()
    model = sheet(listener=told)
    model.set_cell(key_of(model, "1049"), "job", "1050")
    assert told.last[2] == {"1049": None, "1050": model.jobs[2]}


def test_an_emptied_row_is_no_job() -> None:
    told = Listener()
    model = sheet(listener=told)
    model.clear([key_of(model, "1049")], COLUMNS)
    assert told.last[2] == {"1049": None}
    assert model.drafts() == []


WRONG = [
    {"sheets": "a few"},
    {"sheets": "1,500"},
    {"due": "25:10"},
    {"stock": "silk-1150", "inks": "moss-gren"},
    {"inks": "black+black"},
    {"inks": ""},
    {"work_style": "both"},
    {"inks_back": "black"},
    {"work_style": "sheetwise"},
    {"format": "A99"},
    {"format": "A1"},
    {"coverage": "1+2"},
    {"strips": "20-10"},
    {"plate_length_mm": "1.234"},
    {"plate_thickness_mm": "3"},
    {"job": "#7", "title": "x" * 201},
    {"title": "bell \x07"},
    {"job": "2"},
    {"job": "1", "plates": "P"},
    {"plates": "P", "plate_material": "paper"},
    {"plates": "p"},
]


def test_errors_are_told_in_the_very_words_of_the_list(tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text(*WRONG), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_jobs(path, demo_shop(), DAY)
    # The list's header is its row 1, so that its rows are numbered one higher; so are those its words speak of.
    wanted = {}
    for problem in caught.value.problems:
        wanted.setdefault((problem.row - 1, problem.column), (problem.found, problem.wanted))
    model = sheet([])
    model.set_block(
        [],
        list(COLUMNS),
        [[({"job": str(n)} | plain(row)).get(c, "") for c in COLUMNS] for n, row in enumerate(WRONG, 1)],
    )
    found = {
        (model.number(key), problem.column): (problem.found, problem.wanted)
        for key in model.keys
        for problem in model.problems(key).values()
    }
    assert found == {place: (what, one_less(right)) for place, (what, right) in wanted.items()}
    assert len(found) > 20


def plain(row: dict[str, str]) -> dict[str, str]:
    texts = {"sheets": "1000", "stock": "bond-75", "format": "A4", "inks": "black"} | row
    if "plate_thickness_mm" in texts:
        texts["plate_thickness_mm"] = str(int(texts["plate_thickness_mm"]) * 1000)  # shown in µm
    return texts


def one_less(words: str) -> str:
    for number in range(2, len(WRONG) + 3):
        words = words.replace(f"row {number} ", f"row {number - 1}\0 ")
    return words.replace("\0", "")


def test_rows_that_contradict_each_other_are_marked_and_mended() -> None:
    model = sheet()
    first, second = model.keys[:2]
    model.set_cell(second, "job", "1047")
    assert model.problem(second, "job").wanted.startswith("row 1 has this job already")
    assert model.problems(first) == {}
    model.set_cell(first, "job", "1046")
    assert model.problems(second) == {}
    assert {j.id for j in model.jobs} == {"1046", "1047", "1049"}


def test_a_block_is_pasted_past_the_end_with_one_undo() -> None:
    told = Listener()
    model = sheet(listener=told)
    before = content(model)
    block = "2000\tBond 75 g/m²\n3000\tno such\n\tOffset 90 g/m²\n"
    model.paste(block, [model.keys[-1]], ["sheets", "stock"])
    assert len(model.rows) == 5
    assert content(model)[2] | {"sheets": "2000", "stock": "bond-75"} == content(model)[2]
    assert content(model)[3:] == [{"sheets": "3000", "stock": "no such"}, {"stock": "offset-90"}]
    assert "stock" in model.problems(model.keys[3]) and "sheets" not in model.problems(model.keys[3])
    assert told.last[0] == "paste" and set(told.last[2]) == {"1049"}
    model.undo()
    assert content(model) == before
    assert list(model.jobs) == some_jobs()
    assert model.undo_step is None
    model.redo()
    assert len(model.rows) == 5


def test_a_pasted_line_of_column_names_says_where_the_cells_go() -> None:
    model = sheet([])
    model.paste("inks\tjob\tsheets\tformat\tstock\nblack\t7\t100\tA4\tbond-75\n", [], ["job", "title"])
    assert [j.id for j in model.jobs] == ["7"]


CELL = st.sampled_from(
    ["", "x", "1500", "12,5", "Harbour blue + Black", "black", "A4", "210 x 297", "8.5 x 11 in", "two\nlines", 'a "b"',
     "tab\there", "sheetwise", "yes", "17:00", "18-34", "505", "Silk coated 115 g/m²", "8+5", "1.234", " padded "]
) | st.text(st.characters(exclude_categories=["Cs"]), max_size=8)  # fmt: skip


@settings(max_examples=1000, derandomize=True, deadline=None)
@given(st.data())
def test_a_block_copied_and_pasted_is_the_same_block(data) -> None:
    model = BOARD
    width = data.draw(st.integers(1, 6))
    start = data.draw(st.integers(0, len(COLUMNS) - width))
    columns = list(COLUMNS[start : start + width])
    block = data.draw(st.lists(st.lists(CELL, min_size=width, max_size=width), min_size=1, max_size=4))
    model.remove(model.keys)
    model.set_block([], columns, block)
    first = model.keys
    copied = model.copied(first, columns)
    model.paste(copied, [], columns)
    second = model.keys[len(first) :]
    assert model.copied(second, columns) == copied
    assert content(model)[len(first) :] == content(model)[: len(first)]


BOARD = sheet([])


def test_filling_down_takes_the_first_rows_cells() -> None:
    model = sheet()
    model.fill_down(model.keys, ["stock", "due"])
    assert {row.cells["stock"] for row in model.rows} == {"bond-75"}
    assert {row.cells["due"] for row in model.rows} == {"17:00"}
    assert model.undo().code == "fill_down"
    assert list(model.jobs) == some_jobs()


def test_rows_are_inserted_duplicated_and_removed() -> None:
    told = Listener()
    model = sheet(listener=told)
    model.insert(model.keys[1])
    assert content(model)[1] == {}
    model.duplicate([key_of(model, "1047"), key_of(model, "1049")])
    assert [model.name_of(k) for k in model.keys] == ["1047", "1047-2", "", "1048", "1049", "1049-2"]
    assert set(told.last[2]) == {"1047-2", "1049-2"}
    model.remove([key_of(model, "1048")])
    assert told.last[2] == {"1048": None}
    for _ in range(3):
        model.undo()
    assert list(model.jobs) == some_jobs()


def test_a_split_job_keeps_its_plates_and_its_sheets() -> None:
    told = Listener()
    model = sheet(listener=told)
    key = key_of(model, "1048")
    assert model.split_id(key) == "1048-2"
    part = model.split(key, 300, "1048-2")
    first, second = model.job_of(key), model.job_of(part)
    assert (first.passes[0].sheets, second.passes[0].sheets) == (300, 700)
    for side in (0, 1):
        assert [s.plate for s in first.passes[side].separations] == [s.plate for s in second.passes[side].separations]
    assert told.last[0] == "split" and set(told.last[2]) == {"1048", "1048-2"}
    model.undo()
    assert list(model.jobs) == some_jobs()


@pytest.mark.parametrize("sheets", [0, 1000, 2000, -5])
def test_no_part_is_without_sheets(sheets: int) -> None:
    model = sheet()
    with pytest.raises(ValueError, match="cannot be parted"):
        model.split(key_of(model, "1048"), sheets, "1048-2")


def test_waste_of_the_run_is_parted_like_the_sheets() -> None:
    model = sheet([job(sheets="1000", running_waste="31")])
    part = model.split(model.keys[0], 250, "1-2")
    assert [model.kept(k, "running_waste") for k in (model.keys[0], part)] == ["8", "23"]


def test_writing_what_is_shown_is_no_edit() -> None:
    model = sheet()
    key = model.keys[0]
    for column in COLUMNS:
        model.set_cell(key, column, model.shown(key, column))
    assert model.undo_step is None


EDITS = st.lists(
    st.tuples(st.sampled_from(["cell", "block", "clear", "fill", "add", "insert", "copy", "remove", "undo", "redo"]),
              st.integers(0, 99), st.integers(0, 99), CELL),
    max_size=25,
)  # fmt: skip


@settings(max_examples=150, derandomize=True, deadline=None)
@given(EDITS)
def test_undo_to_the_start_is_the_start_and_the_listener_knows_every_job(edits) -> None:
    known = {j.id: j for j in some_jobs()}

    def follow(_code, _facts, jobs) -> None:
        for job_id, changed in jobs.items():
            if changed is None:
                del known[job_id]
            else:
                known[job_id] = changed

    model = sheet()
    model.changed = follow
    start, first_jobs = content(model), list(model.jobs)
    for name, row, column, text in edits:
        act(model, name, row, column, text)
        assert known == {j.id: j for j in model.jobs}
        fresh = sheet([])
        fresh.set_block([], list(COLUMNS), [[model.shown(k, c) for c in COLUMNS] for k in model.keys])
        assert [fresh.job_of(k) for k in fresh.keys] == [model.job_of(k) for k in model.keys]
    end = content(model)
    steps = 0
    while model.undo() is not None:
        steps += 1
    assert content(model) == start and list(model.jobs) == first_jobs
    for _ in range(steps):
        model.redo()
    assert content(model) == end


def act(model: JobSheetModel, name: str, row: int, column: int, text: str) -> None:
    keys = model.keys
    key = keys[row % len(keys)] if keys else None
    named = COLUMNS[column % len(COLUMNS)]
    if name in ("undo", "redo"):
        getattr(model, name)()
    elif name == "add" or key is None:
        model.add_row({named: text})
    elif name == "cell":
        model.set_cell(key, named, text)
    elif name == "block":
        model.paste(f"{'1047'}\t9\n8\t7\n", [key], list(COLUMNS[column % len(COLUMNS) :]))
    elif name == "clear":
        model.clear([key], COLUMNS if column % 3 == 0 else [named])
    elif name == "fill":
        model.fill_down(keys[row % len(keys) :], [named])
    else:
        {
            "insert": lambda: model.insert(key),
            "copy": lambda: model.duplicate([key]),
            "remove": lambda: model.remove([key]),
        }[name]()


def test_jobs_from_elsewhere_come_in_without_taking_half_typed_cells() -> None:
    told = Listener()
    model = sheet(listener=told)
    half, other = key_of(model, "1047"), key_of(model, "1049")
    model.set_cell(half, "sheets", "15OO")
    jobs = some_jobs()
    model.show_jobs([jobs[0], job(job="1049", sheets="900"), job(job="1060")])
    assert model.kept(half, "sheets") == "15OO"
    assert model.kept(other, "sheets") == "900"
    assert {j.id for j in model.jobs} == {"1047", "1049", "1060"}
    assert model.undo_step is None and told.told == []


def test_the_same_jobs_from_elsewhere_change_nothing() -> None:
    model = sheet()
    model.set_cell(model.keys[0], "sheets", "900")
    model.show_jobs(model.jobs)
    assert model.undo_step is not None


def test_every_work_style_is_kept_by_its_word() -> None:
    model = sheet([], words={"work-and-turn": "Umschlagen"})
    for style in WorkStyle:
        key = model.add_row({"work_style": str(style).replace("-", " ").upper()})
        assert model.kept(key, "work_style") == style
    key = model.add_row({"work_style": "umschlagen"})
    assert model.kept(key, "work_style") == "work-and-turn"
    assert model.shown(key, "work_style") == "Umschlagen"
