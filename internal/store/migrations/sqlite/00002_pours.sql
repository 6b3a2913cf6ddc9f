-- Pours and what was found at them.
--
-- A pour keeps the names and numbers it began with in its plan, so that it
-- still reads when the material or the mold is gone for good. An answer that
-- is taken back is marked as removed and teaches nothing.

-- +goose Up
CREATE TABLE pour (
	id               INTEGER PRIMARY KEY AUTOINCREMENT,
	owner            INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop             INTEGER NOT NULL REFERENCES shop (id),
	shared           INTEGER NOT NULL CHECK (shared IN (0, 1)),
	material         INTEGER REFERENCES material (id) ON DELETE SET NULL,
	material_version INTEGER NOT NULL,
	mold             INTEGER REFERENCES mold (id) ON DELETE SET NULL,
	state            TEXT    NOT NULL,
	plan             TEXT    NOT NULL,
	created_at       INTEGER NOT NULL,
	ended_at         INTEGER,
	removed_at       INTEGER
) STRICT;
CREATE INDEX pour_owner ON pour (owner, removed_at);
CREATE INDEX pour_shop ON pour (shop, shared);
CREATE INDEX pour_material ON pour (material);
CREATE INDEX pour_mold ON pour (mold);

CREATE TABLE cure_log (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared IN (0, 1)),
	pour       INTEGER NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	ready_by   REAL,
	soft_at    REAL,
	created_at INTEGER NOT NULL,
	removed_at INTEGER,
	CHECK ((ready_by IS NULL) <> (soft_at IS NULL))
) STRICT;
CREATE INDEX cure_log_owner ON cure_log (owner, removed_at);
CREATE INDEX cure_log_shop ON cure_log (shop, shared);
CREATE INDEX cure_log_pour ON cure_log (pour);

PRAGMA user_version = 2;
