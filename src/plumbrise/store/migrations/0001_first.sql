CREATE TABLE machines (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    text TEXT NOT NULL,
    added_at TEXT NOT NULL,
    version TEXT NOT NULL
) STRICT;

CREATE TABLE plans (
    id INTEGER PRIMARY KEY,
    machine_id INTEGER NOT NULL REFERENCES machines (id),
    text TEXT NOT NULL,
    added_at TEXT NOT NULL,
    version TEXT NOT NULL
) STRICT;

CREATE TABLE runs (
    id INTEGER PRIMARY KEY,
    machine_id INTEGER NOT NULL REFERENCES machines (id),
    plan_id INTEGER REFERENCES plans (id),
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    station TEXT NOT NULL,
    axis TEXT NOT NULL,
    stand_on TEXT NOT NULL,
    gauge_resolution_mm REAL,
    gauge_serial TEXT NOT NULL,
    who TEXT NOT NULL,
    source TEXT NOT NULL,
    program TEXT NOT NULL,
    begun_at TEXT NOT NULL,
    ended_at TEXT,
    version TEXT NOT NULL,
    unknown_columns TEXT NOT NULL,
    remarks TEXT NOT NULL,
    UNIQUE (machine_id, name)
) STRICT;

CREATE TABLE readings (
    id INTEGER PRIMARY KEY,
    run_id INTEGER NOT NULL REFERENCES runs (id),
    seq INTEGER NOT NULL,
    target_mm REAL NOT NULL,
    reading_mm REAL,
    approach TEXT NOT NULL CHECK (approach IN ('up', 'down')),
    mass_kg REAL NOT NULL,
    mass_at_mm REAL,
    force_n REAL,
    torque_nmm REAL,
    time_s REAL,
    temp_c REAL,
    note TEXT NOT NULL,
    assumed INTEGER NOT NULL,
    other TEXT NOT NULL,
    kept_at TEXT NOT NULL,
    taken_back_at TEXT
) STRICT;

CREATE UNIQUE INDEX readings_standing ON readings (run_id, seq) WHERE taken_back_at IS NULL;

CREATE TABLE results (
    id INTEGER PRIMARY KEY,
    machine_id INTEGER NOT NULL REFERENCES machines (id),
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    made_from TEXT NOT NULL,
    made_at TEXT NOT NULL,
    version TEXT NOT NULL
) STRICT;
