# Two commands: `make app` sets up and opens the app on the demo job; `make test` sets up and runs everything.
UV_VERSION := 0.13.9
export UV_PYTHON_DOWNLOADS := never
UV := .tools/bin/uv
PY := .venv/bin/python
BUILT := src/ringwright/web/static/built/.ok
FONTS := src/ringwright/paper/fonts/.ok
CLIENT := $(shell find web/client -name node_modules -prune -o -type f -print 2>/dev/null)

# After the last change to a sentence, a model, a case or a source: make words reference
.PHONY: reference app test test-long pictures bench client lock lock-client clean setup wheel words

setup: .venv/.ok $(BUILT) $(FONTS)

app: setup
	.venv/bin/ringwright serve --demo $(ARGS)

test: setup
	$(PY) tools/run_tests.py

test-long: setup
	$(PY) tools/run_tests.py --long

pictures: setup
	$(PY) tools/pictures.py $(ARGS)

bench: setup
	$(PY) -m bench

wheel: setup
	$(UV) build -q --wheel --no-build-isolation --python $(PY) -o dist

words: .venv/.ok
	$(PY) tools/words.py

reference: .venv/.ok
	$(PY) tools/reference.py

$(UV):
	python3 -m venv .tools
	.tools/bin/python -m pip install -q "uv==$(UV_VERSION)"

.venv/.ok: pyproject.toml requirements/dev.txt $(UV)
	$(UV) venv -q --clear --python python3 .venv
	$(UV) pip sync -q --python .venv --require-hashes requirements/dev.txt
	$(UV) pip install -q --python .venv --no-deps --no-build-isolation -e .
	touch $@

client: $(BUILT)

$(BUILT): .venv/.ok $(CLIENT)
	$(PY) tools/client.py build
	touch $@

$(FONTS): $(BUILT) tools/fonts.py
	$(PY) tools/fonts.py web/client/node_modules/@fontsource/b612
	touch $@

lock: $(UV)
	$(UV) pip compile -q --universal --generate-hashes --group dev pyproject.toml -o requirements/dev.txt

lock-client: .venv/.ok
	$(PY) tools/client.py lock

clean:
	rm -rf .venv .tools dist build web/client/node_modules src/ringwright/web/static/built src/ringwright/paper/fonts pictures
