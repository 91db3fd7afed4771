.PHONY: demo test setup proof
demo test setup proof:
	python3 start.py $@
