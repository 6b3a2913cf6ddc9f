-- What happens to a pour, in the order of the ids, and how far it has come.
--
-- An event keeps in its detail the numbers of what it did elsewhere (answers,
-- pulls, calls), so that taking it back undoes that and nothing else.

-- +goose Up
ALTER TABLE pour ADD COLUMN coats_on INTEGER NOT NULL DEFAULT 0;
ALTER TABLE pour ADD COLUMN coat_at INTEGER;
ALTER TABLE pour ADD COLUMN good INTEGER NOT NULL DEFAULT 0;
ALTER TABLE pour ADD COLUMN spoiled INTEGER NOT NULL DEFAULT 0;
-- What is in a mold, apart from the thousands that were: the board asks often.
CREATE INDEX pour_open_owner ON pour (owner, removed_at) WHERE state IN ('running', 'ready');
CREATE INDEX pour_open_shop ON pour (shop, shared) WHERE state IN ('running', 'ready');

CREATE TABLE pour_event (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared = 0), -- its owner's alone
	pour       INTEGER NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	what       TEXT    NOT NULL CHECK (what IN ('ready', 'soft', 'done', 'failed', 'canceled', 'coat', 'note')),
	detail     TEXT    NOT NULL,
	created_at INTEGER NOT NULL,
	removed_at INTEGER
) STRICT;
CREATE INDEX pour_event_owner ON pour_event (owner, removed_at);
CREATE INDEX pour_event_shop ON pour_event (shop, shared);
CREATE INDEX pour_event_pour ON pour_event (pour);

PRAGMA user_version = 6;
