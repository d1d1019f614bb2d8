-- Two programs may read one plan: whatever is written of its runs, or of its machine, is counted, so
-- that each sees when the other has gone on.
CREATE TABLE plan_acts (
    plan_id INTEGER PRIMARY KEY REFERENCES plans (id),
    acts INTEGER NOT NULL
) STRICT;

INSERT INTO plan_acts SELECT id, 0 FROM plans;

CREATE TRIGGER plan_added AFTER INSERT ON plans BEGIN
    INSERT INTO plan_acts VALUES (NEW.id, 0);
END;

CREATE TRIGGER run_begun AFTER INSERT ON runs WHEN NEW.plan_id IS NOT NULL BEGIN
    UPDATE plan_acts SET acts = acts + 1 WHERE plan_id = NEW.plan_id;
END;

CREATE TRIGGER run_changed AFTER UPDATE ON runs WHEN NEW.plan_id IS NOT NULL BEGIN
    UPDATE plan_acts SET acts = acts + 1 WHERE plan_id = NEW.plan_id;
END;

CREATE TRIGGER reading_kept AFTER INSERT ON readings BEGIN
    UPDATE plan_acts SET acts = acts + 1
    WHERE plan_id = (SELECT plan_id FROM runs WHERE id = NEW.run_id);
END;

CREATE TRIGGER reading_changed AFTER UPDATE ON readings BEGIN
    UPDATE plan_acts SET acts = acts + 1
    WHERE plan_id = (SELECT plan_id FROM runs WHERE id = NEW.run_id);
END;

CREATE TRIGGER run_marked AFTER INSERT ON marks BEGIN
    UPDATE plan_acts SET acts = acts + 1
    WHERE plan_id = (SELECT plan_id FROM runs WHERE id = NEW.run_id);
END;

CREATE TRIGGER machine_described AFTER UPDATE ON machines BEGIN
    UPDATE plan_acts SET acts = acts + 1
    WHERE plan_id IN (SELECT id FROM plans WHERE machine_id = NEW.id);
END;
