-- First schema of the workroom file.
--
-- Empty is NULL and means unknown, never zero. Times are UTC, RFC 3339 text
-- ("2026-11-11T21:00:00Z"); days are "2026-11-11". Columns hold the number of
-- the unit in their name: _m2 square metres, _pct percent, _h hours, _min
-- minutes, _c degrees Celsius, _ml millilitres. Money is in minor units.
-- Spectra are 36 little-endian float64, 380 to 730 nm by 10 nm. Colours are the
-- text the maker wrote. Lists are parted by ";". "extra" is a JSON object of
-- columns that came with a table and that this program does not know.
--
-- A row that came from a table carries origin 'table', one that a command
-- recorded 'command'; reading a table again never takes the latter away.

CREATE TABLE setting (
	name  TEXT NOT NULL PRIMARY KEY,
	value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- One row: counts the changes of the shelf, so that a snapshot can be kept.
CREATE TABLE shelf (
	only    INTEGER NOT NULL PRIMARY KEY CHECK (only = 1),
	version INTEGER NOT NULL
) STRICT;
INSERT INTO shelf VALUES (1, 1);

CREATE TABLE stock (
	code TEXT NOT NULL PRIMARY KEY CHECK (code <> ''),
	version INTEGER NOT NULL DEFAULT 1,
	name TEXT NOT NULL CHECK (name <> ''),
	kind TEXT NOT NULL CHECK (kind IN ('paint','sealer','treatment','dye','cloth','trim')),
	medium TEXT, colour TEXT,
	hiding_black REAL, hiding_white REAL, wet_film_um REAL, spread_ml_m2 REAL, volume_solids_pct REAL,
	touch_h REAL, recoat_from_h REAL, recoat_until_h REAL, handle_h REAL, cure_h REAL,
	heat_c REAL, heat_min REAL, low_c REAL, elongation_pct REAL, base TEXT, fluorescent REAL,
	suits TEXT, hazards TEXT, contains TEXT, voc_g_l REAL,
	fibre TEXT, dye_class TEXT, width_cm REAL, shrinkage_pct REAL, iron_max_c REAL, stretch_pct REAL,
	unit TEXT, pack REAL, price INTEGER, opened TEXT, expires TEXT, note TEXT,
	extra TEXT
) STRICT;

CREATE TABLE job (
	id INTEGER NOT NULL PRIMARY KEY,
	version INTEGER NOT NULL,
	name TEXT NOT NULL UNIQUE CHECK (name <> ''),
	planning_starts TEXT, hands_off TEXT, event_at TEXT, packing_at TEXT, supplies_ordered TEXT, supplies_arrive TEXT,
	budget INTEGER, currency TEXT, reserve_pct REAL, repair_ml REAL, timezone TEXT, as_of TEXT,
	extra TEXT
) STRICT;

-- What moved: amount is the change of what is on hand, held the change of what
-- the job has reserved, both in the unit of the stock line. On hand is the sum
-- of amount, to a millionth of the unit. Rows are only ever added.
CREATE TABLE movement (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	at TEXT NOT NULL,
	what TEXT NOT NULL CHECK (what IN ('bought','used','reserved','released','thrown away','counted')),
	amount REAL NOT NULL DEFAULT 0,
	held REAL NOT NULL DEFAULT 0,
	job INTEGER REFERENCES job (id),
	step TEXT,
	note TEXT
) STRICT;
CREATE INDEX movement_by_code ON movement (code, id, amount, held, job);
CREATE INDEX movement_by_job ON movement (job, code, held) WHERE job IS NOT NULL;

-- A measure of a stock line has no job; one of a job's own sample (an approved
-- strip, named by its area) has.
CREATE TABLE measure (
	id INTEGER NOT NULL PRIMARY KEY,
	job INTEGER REFERENCES job (id),
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	code TEXT NOT NULL, light TEXT,
	lab_l REAL, lab_a REAL, lab_b REAL,
	over TEXT, wet_film_um REAL, coats INTEGER, kind TEXT, basis TEXT,
	spectrum BLOB CHECK (length(spectrum) = 288),
	extra TEXT
) STRICT;
CREATE INDEX measure_by_code ON measure (code, id);

-- The stock lines that came with a job's folder, in the order of its table.
CREATE TABLE job_stock (
	job INTEGER NOT NULL REFERENCES job (id),
	seq INTEGER NOT NULL,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	PRIMARY KEY (job, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE wearer (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, name TEXT, size TEXT, area_factor REAL, sensitivities TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

CREATE TABLE area (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, piece TEXT, method TEXT, look TEXT, target TEXT, tolerance REAL,
	cloth_m2 REAL, painted_m2 REAL, ground TEXT, stretch_pct REAL, skin INTEGER, sides INTEGER,
	coat_min REAL, rail_m REAL, share_pct REAL, recipe TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

CREATE TABLE contact (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, "from" TEXT, "to" TEXT, rubbing TEXT, damp INTEGER, hours REAL, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

CREATE TABLE reference (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, picture TEXT, anchor TEXT, anchor_colour TEXT, trust TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

CREATE TABLE patch (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	reference TEXT, area TEXT, rectangle TEXT, colour TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;

CREATE TABLE light (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	name TEXT NOT NULL, source TEXT, lux REAL, uv INTEGER, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, name)
) STRICT;

CREATE TABLE test (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	code TEXT NOT NULL, subject TEXT, against TEXT, how TEXT, "when" TEXT, condition TEXT,
	clean TEXT, stained TEXT, age_h REAL, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

CREATE TABLE hours (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	day TEXT, "from" TEXT, "to" TEXT, who TEXT, what TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;

CREATE TABLE room (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	volume_m3 REAL, day_c REAL, night_c REAL, rh_pct REAL, air_m_s REAL, fan_m3_h REAL, changes_per_hour REAL,
	rail_m REAL, rack_m2 REAL, drying_factor REAL, drying_factor_fan REAL, press INTEGER, iron_max_c REAL, mask TEXT,
	extra TEXT,
	PRIMARY KEY (job)
) STRICT;

CREATE TABLE sewing (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	code TEXT NOT NULL, area TEXT, verb TEXT, hands_min REAL, after TEXT, before TEXT, who TEXT,
	extra TEXT,
	PRIMARY KEY (job, code)
) STRICT;

-- A step that was finished. One that was taken back stays, with the time.
CREATE TABLE done (
	id INTEGER NOT NULL PRIMARY KEY,
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	step TEXT NOT NULL, at TEXT, used TEXT, code TEXT,
	extra TEXT,
	withdrawn TEXT
) STRICT;
CREATE INDEX done_by_job ON done (job, seq);
CREATE UNIQUE INDEX done_once ON done (job, step) WHERE withdrawn IS NULL;

-- Approvals, oldest first; the last one of an area holds, none is ever changed.
CREATE TABLE target (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	area TEXT NOT NULL, colour TEXT NOT NULL, basis TEXT, low TEXT, high TEXT, radius REAL, rests TEXT, at TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;

-- Choices, oldest first; the last one of an area holds.
CREATE TABLE choice (
	job INTEGER NOT NULL REFERENCES job (id), seq INTEGER NOT NULL,
	origin TEXT NOT NULL CHECK (origin IN ('table','command')),
	area TEXT NOT NULL, recipe TEXT NOT NULL, at TEXT, note TEXT,
	extra TEXT,
	PRIMARY KEY (job, seq)
) STRICT;

-- Files of the job, byte for byte: its pictures, and tables not known here.
CREATE TABLE picture (
	job INTEGER NOT NULL REFERENCES job (id),
	name TEXT NOT NULL,
	paper INTEGER NOT NULL CHECK (paper IN (0, 1)),
	bytes BLOB NOT NULL,
	PRIMARY KEY (job, name)
) STRICT;

-- A numbered recipe is never changed; a correction is a new one with a parent.
-- parts: codes and g, layers: codes and coats, from the ground up.
CREATE TABLE recipe (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	parent INTEGER REFERENCES recipe (number),
	name TEXT NOT NULL CHECK (name <> ''),
	at TEXT NOT NULL,
	target TEXT, ground TEXT, parts TEXT, layers TEXT, job TEXT, area TEXT, note TEXT,
	CHECK (parts IS NOT NULL OR layers IS NOT NULL)
) STRICT;

-- One mixing of a recipe: what was made, in g.
CREATE TABLE batch (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	recipe INTEGER NOT NULL REFERENCES recipe (number),
	at TEXT NOT NULL,
	made_g REAL NOT NULL CHECK (made_g > 0),
	place TEXT, note TEXT
) STRICT;
CREATE INDEX batch_by_recipe ON batch (recipe);

-- What was taken from a batch, in g. Rows are only ever added.
CREATE TABLE batch_use (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	batch INTEGER NOT NULL REFERENCES batch (number),
	at TEXT NOT NULL,
	used_g REAL NOT NULL CHECK (used_g > 0),
	job TEXT, step TEXT, note TEXT
) STRICT;
CREATE INDEX batch_use_by_batch ON batch_use (batch);

-- A pot weighed before and after coats over a known extent: the workroom's own
-- spread rate.
CREATE TABLE weighing (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	code TEXT NOT NULL REFERENCES stock (code) ON UPDATE CASCADE,
	at TEXT NOT NULL,
	before_g REAL NOT NULL, after_g REAL NOT NULL,
	painted_m2 REAL NOT NULL CHECK (painted_m2 > 0),
	coats INTEGER NOT NULL CHECK (coats > 0),
	density_g_ml REAL CHECK (density_g_ml > 0),
	job TEXT, area TEXT, step TEXT, note TEXT,
	CHECK (before_g > after_g)
) STRICT;
CREATE INDEX weighing_by_code ON weighing (code);
