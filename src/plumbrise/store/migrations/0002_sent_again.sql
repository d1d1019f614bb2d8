-- A reading that is sent twice is stored once; targets passed over, readings mended and what
-- happened to a run are kept; time counts from the start of a session.
ALTER TABLE readings ADD COLUMN token TEXT;

ALTER TABLE readings ADD COLUMN skipped INTEGER NOT NULL DEFAULT 0;

ALTER TABLE readings ADD COLUMN instead_of INTEGER REFERENCES readings (id);

CREATE UNIQUE INDEX readings_token ON readings (run_id, token) WHERE token IS NOT NULL;

ALTER TABLE runs ADD COLUMN session TEXT NOT NULL DEFAULT '';

CREATE TABLE marks (
    id INTEGER PRIMARY KEY,
    run_id INTEGER NOT NULL REFERENCES runs (id),
    at TEXT NOT NULL,
    what TEXT NOT NULL,
    words TEXT NOT NULL
) STRICT;

CREATE INDEX marks_of_run ON marks (run_id);
