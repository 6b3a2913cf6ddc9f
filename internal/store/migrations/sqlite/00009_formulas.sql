-- Members' formulas, kept as materials, molds and tints are.

-- +goose Up
CREATE TABLE formula (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared IN (0, 1)),
	version    INTEGER NOT NULL CHECK (version > 0),
	name       TEXT    NOT NULL,
	name_key   TEXT    NOT NULL,
	family     TEXT    NOT NULL,
	created_at INTEGER NOT NULL,
	edited_at  INTEGER NOT NULL,
	removed_at INTEGER
) STRICT;
CREATE UNIQUE INDEX formula_name ON formula (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX formula_owner ON formula (owner, removed_at);
CREATE INDEX formula_shop ON formula (shop, shared);

CREATE TABLE formula_version (
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record   INTEGER NOT NULL REFERENCES formula (id) ON DELETE CASCADE,
	number   INTEGER NOT NULL CHECK (number > 0),
	at       INTEGER NOT NULL,
	profile  TEXT    NOT NULL,
	PRIMARY KEY (owner, record, number)
) STRICT;
CREATE INDEX formula_version_record ON formula_version (record);

PRAGMA user_version = 9;
