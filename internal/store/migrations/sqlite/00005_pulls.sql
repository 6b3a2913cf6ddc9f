-- The log of molds: each pull and each release coat, in the order of their ids.
-- What stands in a mold's profile as its pulls is what it had when it was added.

-- +goose Up
CREATE TABLE pull (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared = 0), -- it is seen with its mold
	mold       INTEGER NOT NULL REFERENCES mold (id) ON DELETE CASCADE,
	what       TEXT    NOT NULL CHECK (what IN ('good', 'spoiled', 'coat')),
	number     INTEGER NOT NULL, -- pulls of the mold so far, with it
	late       INTEGER NOT NULL CHECK (late IN (0, 1)), -- pulled with the coat overdue
	why        TEXT    NOT NULL,
	created_at INTEGER NOT NULL,
	removed_at INTEGER
) STRICT;
CREATE INDEX pull_owner ON pull (owner, removed_at);
CREATE INDEX pull_shop ON pull (shop, shared);
CREATE INDEX pull_mold ON pull (mold);

PRAGMA user_version = 5;
