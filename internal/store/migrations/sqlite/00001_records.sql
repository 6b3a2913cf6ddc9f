-- Members, shops and what they keep.
--
-- Times are milliseconds since 1970 in UTC, flags 0 or 1, profiles JSON as the
-- Go types write it. Every key or index is led by a shop or a member, so that
-- the tables can be split by them. Ids are never used twice (AUTOINCREMENT): a
-- button made for a record that is gone must not come to mean another's.

-- +goose Up
CREATE TABLE member (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	key        TEXT    NOT NULL UNIQUE,
	name       TEXT    NOT NULL,
	prefs      TEXT    NOT NULL,
	created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE shop (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	key        TEXT    NOT NULL UNIQUE,
	name       TEXT    NOT NULL,
	created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE shop_setting (
	shop      INTEGER PRIMARY KEY REFERENCES shop (id) ON DELETE CASCADE,
	settings  TEXT    NOT NULL,
	edited_by INTEGER REFERENCES member (id) ON DELETE SET NULL,
	edited_at INTEGER NOT NULL
) STRICT;
CREATE INDEX shop_setting_editor ON shop_setting (edited_by);

CREATE TABLE shop_manager (
	shop   INTEGER NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	member INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	since  INTEGER NOT NULL,
	PRIMARY KEY (shop, member)
) STRICT, WITHOUT ROWID;
CREATE INDEX shop_manager_member ON shop_manager (member);

-- A record's row is its newest state; what a member typed stands in the
-- version. Names are unique among an owner's records that are not removed,
-- compared by name_key, which the program folds.
CREATE TABLE material (
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
CREATE UNIQUE INDEX material_name ON material (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX material_owner ON material (owner, removed_at);
CREATE INDEX material_shop ON material (shop, shared);

CREATE TABLE material_version (
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record   INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
	number   INTEGER NOT NULL CHECK (number > 0),
	at       INTEGER NOT NULL,
	profile  TEXT    NOT NULL,
	PRIMARY KEY (owner, record, number)
) STRICT;
CREATE INDEX material_version_record ON material_version (record);

CREATE TABLE mold (
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
CREATE UNIQUE INDEX mold_name ON mold (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX mold_owner ON mold (owner, removed_at);
CREATE INDEX mold_shop ON mold (shop, shared);

CREATE TABLE mold_version (
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record   INTEGER NOT NULL REFERENCES mold (id) ON DELETE CASCADE,
	number   INTEGER NOT NULL CHECK (number > 0),
	at       INTEGER NOT NULL,
	profile  TEXT    NOT NULL,
	PRIMARY KEY (owner, record, number)
) STRICT;
CREATE INDEX mold_version_record ON mold_version (record);

CREATE TABLE faq (
	shop      INTEGER NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	topic_key TEXT    NOT NULL,
	topic     TEXT    NOT NULL,
	answer    TEXT    NOT NULL,
	edited_by INTEGER REFERENCES member (id) ON DELETE SET NULL,
	edited_at INTEGER NOT NULL,
	PRIMARY KEY (shop, topic_key)
) STRICT;
CREATE INDEX faq_editor ON faq (edited_by);

CREATE TABLE measure (
	shop     INTEGER NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	hash     TEXT    NOT NULL,
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	result   TEXT    NOT NULL,
	saved_at INTEGER NOT NULL,
	PRIMARY KEY (shop, hash)
) STRICT;
CREATE INDEX measure_owner ON measure (owner, saved_at);
CREATE INDEX measure_age ON measure (shop, saved_at);

CREATE TABLE line (
	shop     INTEGER NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	id       TEXT    NOT NULL,
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	line     TEXT    NOT NULL,
	saved_at INTEGER NOT NULL,
	PRIMARY KEY (shop, id)
) STRICT;
CREATE INDEX line_owner ON line (owner, shop, saved_at);
CREATE INDEX line_age ON line (shop, saved_at);

-- The interactions that wrote something, so that a second delivery does not.
CREATE TABLE seen_interaction (
	member INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	id     TEXT    NOT NULL,
	at     INTEGER NOT NULL,
	PRIMARY KEY (member, id)
) STRICT, WITHOUT ROWID;

-- How a reader tells the file from any other one: "pwrt", and the number of
-- the last migration.
PRAGMA application_id = 1886876276;
PRAGMA user_version = 1;
