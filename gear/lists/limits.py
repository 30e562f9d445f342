"""How large a list may be. Pages and messages state these figures. Standard library only."""

MAX_BYTES = 8 * 1024 * 1024
MAX_ROWS = 20_000
MAX_COLUMNS = 200
MAX_CELL = 4_000  # as the form's longest box
MAX_UNPACKED = 96 * 1024 * 1024  # of a workbook, which is a packed file
MAX_MEMBERS = 500
MAX_CELLS_IN_ROW = 16_384  # as wide as a spreadsheet is; past MAX_COLUMNS they have to be empty
MAX_PARTS = 1_500_000  # elements of a workbook's texts or styles
MAX_GENERATIONS = 30  # of ropes divided and divided again within one list
FAULTS_KEPT = 1_000
KEPT_HOURS = 24  # how long an uploaded file waits for its owner

LIMITS_IN_WORDS = (
    f"At most {MAX_BYTES // (1024 * 1024)} MB, {MAX_ROWS:,} rows, {MAX_COLUMNS} columns, "
    f"{MAX_CELL:,} characters in a cell; a workbook at most {MAX_UNPACKED // (1024 * 1024)} MB unpacked."
)
