-- Colorants by their cured swatches, kept as materials and molds are.

-- +goose Up
CREATE TABLE tint (
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
CREATE UNIQUE INDEX tint_name ON tint (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX tint_owner ON tint (owner, removed_at);
CREATE INDEX tint_shop ON tint (shop, shared);

CREATE TABLE tint_version (
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record   INTEGER NOT NULL REFERENCES tint (id) ON DELETE CASCADE,
	number   INTEGER NOT NULL CHECK (number > 0),
	at       INTEGER NOT NULL,
	profile  TEXT    NOT NULL,
	PRIMARY KEY (owner, record, number)
) STRICT;
CREATE INDEX tint_version_record ON tint_version (record);

PRAGMA user_version = 3;
