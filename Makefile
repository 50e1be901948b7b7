# One command each, on a machine with Python 3.11 or newer, make and git.
#   make workbench   make .venv, install, open the desks on the demo
#   make test        make .venv, install, run the whole suite
#   make gates       style, types, import directions, notebooks without outputs
#   make bench       the benchmarks: ratios to a named reference in the same run
#   make sweep       a wide search for faults, longer than the suite
#   make picture     the README's picture, taken of the real screen

PYTHON ?= python3
SKETCHBOOK ?= sketchbook
WORKERS ?= 2

VENV := .venv
BIN := $(VENV)/bin
INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check --only-binary :all: \
	--constraint constraints.txt

.DELETE_ON_ERROR:
.PHONY: workbench test gates bench sweep picture clean

workbench: $(VENV)/installed
	$(BIN)/harmony workbench $(SKETCHBOOK)

test: $(VENV)/installed-for-tests
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile

gates: $(VENV)/installed-for-tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python tests/architecture/notebook_outputs.py notebooks

bench: $(VENV)/installed-for-tests
	$(BIN)/python -m pytest tests/benchmarks -m benchmark -n 0 -s

sweep: $(VENV)/installed-for-tests
	$(BIN)/python -m pytest -m sweep -n $(WORKERS)

picture: $(VENV)/installed-for-tests
	$(BIN)/python -m tests.browser.draw_picture

clean:
	rm -rf $(VENV) build dist

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "Python 3.11 or newer is needed; name one with: make PYTHON=/path/to/python3" >&2; exit 1; }
	$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); exit 1; }

$(VENV)/installed: pyproject.toml constraints.txt | $(VENV)/bin/python
	@echo "Installing; the first time this takes a few minutes."
	$(INSTALL) --editable .
	touch $@

$(VENV)/installed-for-tests: pyproject.toml constraints.txt | $(VENV)/bin/python
	@echo "Installing with what the tests need; the first time this takes a few minutes."
	$(INSTALL) --editable '.[test]'
	touch $@ $(VENV)/installed
