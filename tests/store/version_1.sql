-- A shelf as version 1 wrote it, kept for ever: what is in it must come through every step.
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

PRAGMA application_id = 1349285218;

PRAGMA user_version = 1;

INSERT INTO machines VALUES
    (1, 'Shed printer', 'arrangement = "one-screw"  # from memory
', '2026-03-01T18:00:00.000+00:00', '0.0.1');

INSERT INTO plans VALUES (1, 1, '{"minutes": 30}', '2026-03-01T18:01:00.000+00:00', '0.0.1');

INSERT INTO runs VALUES
    (1, 1, 1, 'left', 'coarse-steps', 'gantry-left', 'up', 'frame', 0.01, 'no. 7', 'A. N.',
     'keyboard', '', '2026-03-01T18:02:00.000+00:00', '2026-03-01T18:09:00.000+00:00', '0.0.1',
     '["weather"]', '["The clock was set by hand."]'),
    (2, 1, NULL, 'right', 'coarse-steps', 'gantry-right', 'up', 'bed', NULL, '', '', 'keyboard',
     '', '2026-03-01T18:12:00.000+00:00', NULL, '0.0.1', '[]', '[]');

INSERT INTO readings VALUES
    (1, 1, 0, 0.0, 0.0, 'down', 0.0, NULL, NULL, NULL, 0.0, 21.5, '', 0, '[["weather", "dry"]]',
     '2026-03-01T18:03:00.000+00:00', NULL),
    (2, 1, 1, 1.0, 9.81, 'up', 0.0, NULL, NULL, NULL, 30.0, NULL, 'slipped', 0, '[]',
     '2026-03-01T18:03:30.000+00:00', '2026-03-01T18:03:40.000+00:00'),
    (3, 1, 1, 1.0, 0.81, 'up', 0.0, NULL, NULL, NULL, 45.0, NULL, 'again,
slower', 0, '[]', '2026-03-01T18:03:45.000+00:00', NULL),
    (4, 1, 2, 2.0, NULL, 'up', 0.0, NULL, NULL, NULL, 60.0, NULL, '', 0, '[]',
     '2026-03-01T18:04:00.000+00:00', NULL),
    (5, 2, 0, 0.0, 0.1, 'down', 0.5, 100.0, -3.0, NULL, NULL, NULL, '', 0, '[]',
     '2026-03-01T18:13:00.000+00:00', NULL);

INSERT INTO results VALUES
    (1, 1, 'explain', '{"version": 1}', 'abc', '2026-03-01T18:20:00.000+00:00', '0.0.1');
