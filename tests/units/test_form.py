"""The empty site file: valid as it stands and filled in, and it asks everything that can be said."""

import re

import pytest

from advisor import yamlfile
from advisor.faults import InputError
from advisor.loading import load
from advisor.report import form
from advisor.site import read_site


@pytest.fixture(scope="module")
def book():
    return load().book


def read(text, tmp_path, book):
    path = tmp_path / "site.yaml"
    path.write_text(text, encoding="utf-8")
    return read_site(yamlfile.load(path), book)


def test_the_form_is_a_site_of_which_nothing_is_known(tmp_path, book):
    site = read(form.form(book), tmp_path, book)
    assert all(answer.open for one in site.instances for answer in one.answers.values() if answer.origin == "silent")
    assert not site.unused


def test_the_form_with_every_line_taken_in_is_a_site_too(tmp_path, book):
    lines = form.form(book).splitlines()
    filled = "\n".join(re.sub(r"^# ", "", line) for line in lines if not line.startswith("# ---"))
    filled = re.sub(r"^(Take|the trade|A subject|If all|Further).*$", "", filled, flags=re.MULTILINE)
    site = read(filled, tmp_path, book)
    told = {one.template for one in site.instances for answer in one.answers.values() if answer.origin == "unknown"}
    asked = {entry.template for entry in book.vocabulary.templates.values() if not entry.derived and not entry.claimed}
    assert told == asked


def test_the_form_of_one_subject_names_every_slot_and_choice(book):
    text = form.form(book, ["wash"])
    for slot in book.vocabulary.templates["wash"].slots:
        assert f"{slot.slot}: unknown" in text
        assert all(f"# {word} = " in text for word in slot.choices or {})
    assert "weld:" not in text


def test_an_unknown_subject_names_the_nearest(book):
    with pytest.raises(InputError, match="did you mean wash"):
        form.form(book, ["wahs"])


def test_a_table_shows_names_aliases_source_and_basis(book):
    text = form.table(book, "agents")
    row = next(row for row in book.tables["agents"].rows.values() if row.aliases)
    assert row.key in text
    assert row.aliases[0] in " ".join(text.split())
    assert f"{row.basis}]" in " ".join(text.split())
    with pytest.raises(InputError, match="did you mean agents"):
        form.table(book, "agent")


def test_the_list_of_tables_counts_their_rows(book):
    line = next(line for line in form.tables(book).splitlines() if line.startswith("agents "))
    assert line.split()[1] == str(len(book.tables["agents"].rows))
