-- A machine can be described again; what stood before is kept, and can be put back.
CREATE TABLE descriptions (
    id INTEGER PRIMARY KEY,
    machine_id INTEGER NOT NULL REFERENCES machines (id),
    name TEXT NOT NULL,
    text TEXT NOT NULL,
    put_away_at TEXT NOT NULL,
    put_back INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE INDEX descriptions_of_machine ON descriptions (machine_id);
