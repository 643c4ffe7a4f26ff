# make demo: draft the demo session.   make test: the whole test suite.   Both set everything up by themselves.
SHELL := /bin/bash
PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
DEMO_OUTPUT ?= demo-draft
export VOICEDRAFT_MODELS ?= $(CURDIR)/.models
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: demo test soak lint lock models schema docs train figures bench clean system-packages

demo: $(VENV)/.run models
	$(BIN)/voicedraft draft demo_audio --output $(DEMO_OUTPUT)

test: system-packages $(VENV)/.dev models lint
	$(BIN)/pytest -m "not soak"

soak: system-packages $(VENV)/.dev models
	$(BIN)/pytest -m soak

lint: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/mypy

models: $(VENV)/.run
	$(BIN)/voicedraft models install --quiet base tiny.en en-core-web-sm all-MiniLM-L6-v2-int8

# What the tests need besides Python: a browser, human speech, other voices. Installed where we may, else named.
system-packages:
	.ci/system-packages

schema: $(VENV)/.run
	$(BIN)/python -m voicedraft.draft.schema > voicedraft/draft/review.schema.json

docs: $(VENV)/.run
	$(BIN)/python -m voicedraft.cli.reference > CLI.md

train: $(VENV)/.dev
	$(BIN)/python -m voicedraft.train

figures: $(VENV)/.dev models
	$(BIN)/voicedraft evaluate --leave-one-out --by-quarters \
	  $(addprefix --fit-on ,$(wildcard tests/gold/own/*.json tests/gold/short/*.json tests/gold/marks/*.json)) tests/gold/sessions/*.json

bench: $(VENV)/.dev models
	$(BIN)/python benchmarks/reading.py
	$(BIN)/python benchmarks/hearing.py

# The lock is made again from pyproject.toml: pinned versions with the digest of every file, no index named.
lock: | $(VENV)/bin/python
	$(BIN)/pip install --quiet pip-tools
	$(BIN)/pip-compile --quiet --strip-extras --generate-hashes --allow-unsafe --no-emit-index-url --no-emit-find-links \
	  --no-emit-trusted-host --no-header --extra build --output-file requirements.lock pyproject.toml
	$(BIN)/pip-compile --quiet --strip-extras --generate-hashes --allow-unsafe --no-emit-index-url --no-emit-find-links \
	  --no-emit-trusted-host --no-header --extra build --extra dev --extra play --extra train --constraint requirements.lock \
	  --output-file requirements-dev.lock pyproject.toml

$(VENV)/bin/python:
	.ci/venv "$(PYTHON)" $(VENV)

$(VENV)/.run: requirements.lock pyproject.toml | $(VENV)/bin/python
	$(BIN)/pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/pip install --quiet --no-deps --no-build-isolation -e .
	touch $@

$(VENV)/.dev: requirements-dev.lock pyproject.toml | $(VENV)/.run
	$(BIN)/pip install --quiet --require-hashes -r requirements-dev.lock
	touch $@

clean:
	rm -rf $(VENV) demo-draft build dist
