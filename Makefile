# Tea Lot Ledger. The two commands of a newcomer:  make demo   and   make test

PORT ?= 8000
WORKERS ?= 2
PYTHON_HERE := .venv/bin/python
SETUP := ledger/deploy/setup.sh
export LEDGER_REFERENCE ?= ../shared/reference

# The rooms that know no Django; mypy holds them strictly.
PURE := $(wildcard $(addprefix lots/,trade balance quality genealogy codes journal events recall planning drawing))
SOURCES := manage.py $(wildcard ledger lots tests)
TEST_DJANGO := DJANGO_SETTINGS_MODULE=tests.settings $(PYTHON_HERE) manage.py
DEPLOYED := LEDGER_SECRET_KEY=only-to-look-at-the-settings-as-they-are-in-a-real-installation LEDGER_ALLOWED_HOSTS=example.com

.PHONY: demo test test-postgres conformance bench lock pictures lint types check unit browser messages translations clean help

help: ## what there is
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 16

demo: .venv/.stamp ## the demo season on http://127.0.0.1:8000 (PORT=); again: the same book
	@$(SETUP) packages demo
	@$(SETUP) demo $(PORT)

test: .venv/.stamp ## checks, types and every test on SQLite, with a real browser
	@$(SETUP) packages test
	@$(MAKE) --no-print-directory lint types check unit browser

test-postgres: .venv/.stamp ## the same tests on a PostgreSQL of their own
	@$(SETUP) packages test postgres
	@tests/postgres.sh $(MAKE) --no-print-directory unit browser

conformance: .venv/.stamp translations ## what needs the reference folder (LEDGER_REFERENCE=)
	@[ -d "$(LEDGER_REFERENCE)" ] || { echo "The conformance tests need the reference folder, which is not at $(LEDGER_REFERENCE). Name it: make conformance LEDGER_REFERENCE=DIR" >&2; exit 1; }
	@$(SETUP) packages test
	$(PYTHON_HERE) -m pytest tests/conformance

bench: .venv/.stamp translations ## ratios in one run, SQLite and PostgreSQL
	@$(SETUP) packages postgres
	$(PYTHON_HERE) -m tests.benchmarks.arithmetic
	$(PYTHON_HERE) -m tests.benchmarks
	@LEDGER_TEST_COMMIT=on tests/postgres.sh $(PYTHON_HERE) -m tests.benchmarks

pictures: .venv/.stamp ## the README's pictures, taken from the demo season
	@$(SETUP) packages test
	@$(SETUP) translations
	$(PYTHON_HERE) -m tests.browser.pictures

lint: .venv/.stamp ## ruff, all rules
	$(PYTHON_HERE) -m ruff check $(SOURCES)

types: .venv/.stamp ## mypy: strict on the pure rooms and the site
	$(PYTHON_HERE) -m mypy --strict $(PURE) ledger manage.py

check: .venv/.stamp ## Django's own checks, and that no migration is missing
	$(TEST_DJANGO) check --fail-level WARNING
	$(DEPLOYED) $(PYTHON_HERE) manage.py check --deploy --fail-level WARNING
	DATABASE_URL=sqlite://:memory: $(TEST_DJANGO) makemigrations --check --dry-run

unit: translations
	$(PYTHON_HERE) -m pytest tests --ignore=tests/browser --ignore=tests/conformance --ignore=tests/benchmarks --numprocesses=$(WORKERS)

# A process of its own: the browser's driver keeps an event loop running in the main thread.
browser: translations
	LEDGER_TEST_BOOK=file $(PYTHON_HERE) -m pytest tests/browser

messages: .venv/.stamp ## brings the catalogues of words up to date with the sources
	$(TEST_DJANGO) messages

translations: .venv/.stamp
	@$(SETUP) translations

.venv/.stamp: requirements.txt
	@$(SETUP) venv

# UPGRADE=--upgrade takes newer versions; without it only what pyproject.toml changed is changed.
lock: var/tools/bin/uv ## requirements.txt from pyproject.toml
	var/tools/bin/uv pip compile --quiet --generate-hashes --no-header --python-version 3.11 --extra test $(UPGRADE) pyproject.toml --output-file requirements.txt
	@! grep -nE '://|index-url|find-links|file:' requirements.txt

var/tools/bin/uv:
	python3 -m venv var/tools
	var/tools/bin/pip install --quiet uv

clean: ## everything that make made; the book in var/ and its key stay
	rm -rf .venv var/static var/tools var/mypy var/ruff var/pytest var/hypothesis var/test-results var/apt.log var/test*.sqlite3*
	find . -name __pycache__ -type d -not -path './.git/*' -prune -exec rm -rf {} +
	find lots -name '*.mo' -exec rm -f {} +
