-- Jugs and packs, and what happened to them, in the order of the ids.
--
-- A container keeps in its plan what was said when it was added, with the name
-- of its material, so that it still reads when that is gone for good. What is
-- left in it is that amount less the sum of its events. They belong to its
-- owner, whoever drew from it; one that is taken back is marked as removed and
-- counts no more. opened_on is a day, in ms of its midnight in UTC.

-- +goose Up
CREATE TABLE container (
	id          INTEGER PRIMARY KEY AUTOINCREMENT,
	owner       INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop        INTEGER NOT NULL REFERENCES shop (id),
	shared      INTEGER NOT NULL CHECK (shared IN (0, 1)),
	material    INTEGER REFERENCES material (id) ON DELETE SET NULL,
	plan        TEXT    NOT NULL,
	opened_on   INTEGER,
	finished_at INTEGER,
	due         INTEGER REFERENCES due (id) ON DELETE SET NULL, -- the call before it is too old
	created_at  INTEGER NOT NULL,
	removed_at  INTEGER
) STRICT;
CREATE INDEX container_owner ON container (owner, removed_at);
CREATE INDEX container_shop ON container (shop, shared);
CREATE INDEX container_material ON container (material);
CREATE INDEX container_due ON container (due) WHERE due IS NOT NULL;

CREATE TABLE container_event (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared = 0), -- it is seen with its container
	container  INTEGER NOT NULL REFERENCES container (id) ON DELETE CASCADE,
	by_member  INTEGER REFERENCES member (id) ON DELETE SET NULL, -- whose hand it was
	what       TEXT    NOT NULL CHECK (what IN ('open', 'use', 'weigh', 'pour', 'finish')),
	a          REAL    NOT NULL, -- g of A taken; below zero where more was there than thought
	b          REAL    NOT NULL, -- g of B
	pour       INTEGER REFERENCES pour (id) ON DELETE SET NULL, -- that drew it
	detail     TEXT    NOT NULL, -- how the container was before
	created_at INTEGER NOT NULL,
	removed_at INTEGER
) STRICT;
CREATE INDEX container_event_owner ON container_event (owner, removed_at);
CREATE INDEX container_event_shop ON container_event (shop, shared);
CREATE INDEX container_event_container ON container_event (container);
CREATE INDEX container_event_by ON container_event (by_member) WHERE by_member IS NOT NULL;
CREATE INDEX container_event_pour ON container_event (pour) WHERE pour IS NOT NULL;

PRAGMA user_version = 13;
