-- Sharing: what is adopted remembers its origin, managers mark their shop's
-- shelf, and codes lead to one record each.
--
-- origin and first name the record that a copy was made of and the one where
-- that line began. They are no references: the copy outlives both, and ids are
-- never used twice. Whose they were is one, so that an erased member's name
-- goes from every copy. origin_share is the code that the copy came by; while
-- it stands its holder sees the origin's changes.
--
-- hidden_in and pinned_in are the shop whose managers set the mark: it means
-- nothing in any other, and is still there when the record comes back.

-- +goose Up
ALTER TABLE material ADD COLUMN origin INTEGER;
ALTER TABLE material ADD COLUMN origin_version INTEGER NOT NULL DEFAULT 0;
ALTER TABLE material ADD COLUMN origin_left INTEGER NOT NULL DEFAULT 0;
ALTER TABLE material ADD COLUMN origin_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE material ADD COLUMN origin_share INTEGER;
ALTER TABLE material ADD COLUMN first INTEGER;
ALTER TABLE material ADD COLUMN first_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE material ADD COLUMN hidden_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
ALTER TABLE material ADD COLUMN hidden_why TEXT NOT NULL DEFAULT '';
ALTER TABLE material ADD COLUMN pinned_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
CREATE INDEX material_origin ON material (origin) WHERE origin IS NOT NULL;
CREATE INDEX material_origin_by ON material (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX material_first_by ON material (first_by) WHERE first_by IS NOT NULL;

ALTER TABLE mold ADD COLUMN origin INTEGER;
ALTER TABLE mold ADD COLUMN origin_version INTEGER NOT NULL DEFAULT 0;
ALTER TABLE mold ADD COLUMN origin_left INTEGER NOT NULL DEFAULT 0;
ALTER TABLE mold ADD COLUMN origin_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE mold ADD COLUMN origin_share INTEGER;
ALTER TABLE mold ADD COLUMN first INTEGER;
ALTER TABLE mold ADD COLUMN first_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE mold ADD COLUMN hidden_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
ALTER TABLE mold ADD COLUMN hidden_why TEXT NOT NULL DEFAULT '';
ALTER TABLE mold ADD COLUMN pinned_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
CREATE INDEX mold_origin ON mold (origin) WHERE origin IS NOT NULL;
CREATE INDEX mold_origin_by ON mold (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX mold_first_by ON mold (first_by) WHERE first_by IS NOT NULL;

ALTER TABLE tint ADD COLUMN origin INTEGER;
ALTER TABLE tint ADD COLUMN origin_version INTEGER NOT NULL DEFAULT 0;
ALTER TABLE tint ADD COLUMN origin_left INTEGER NOT NULL DEFAULT 0;
ALTER TABLE tint ADD COLUMN origin_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE tint ADD COLUMN origin_share INTEGER;
ALTER TABLE tint ADD COLUMN first INTEGER;
ALTER TABLE tint ADD COLUMN first_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE tint ADD COLUMN hidden_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
ALTER TABLE tint ADD COLUMN hidden_why TEXT NOT NULL DEFAULT '';
ALTER TABLE tint ADD COLUMN pinned_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
CREATE INDEX tint_origin ON tint (origin) WHERE origin IS NOT NULL;
CREATE INDEX tint_origin_by ON tint (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX tint_first_by ON tint (first_by) WHERE first_by IS NOT NULL;

ALTER TABLE formula ADD COLUMN origin INTEGER;
ALTER TABLE formula ADD COLUMN origin_version INTEGER NOT NULL DEFAULT 0;
ALTER TABLE formula ADD COLUMN origin_left INTEGER NOT NULL DEFAULT 0;
ALTER TABLE formula ADD COLUMN origin_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE formula ADD COLUMN origin_share INTEGER;
ALTER TABLE formula ADD COLUMN first INTEGER;
ALTER TABLE formula ADD COLUMN first_by INTEGER REFERENCES member (id) ON DELETE SET NULL;
ALTER TABLE formula ADD COLUMN hidden_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
ALTER TABLE formula ADD COLUMN hidden_why TEXT NOT NULL DEFAULT '';
ALTER TABLE formula ADD COLUMN pinned_in INTEGER REFERENCES shop (id) ON DELETE SET NULL;
CREATE INDEX formula_origin ON formula (origin) WHERE origin IS NOT NULL;
CREATE INDEX formula_origin_by ON formula (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX formula_first_by ON formula (first_by) WHERE first_by IS NOT NULL;

-- A code leads whoever has it to one record: anyone, who may then adopt a copy,
-- or the member it names, who may take the record over.
CREATE TABLE share (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	kind       TEXT    NOT NULL CHECK (kind IN ('material', 'mold', 'tint', 'formula')),
	record     INTEGER NOT NULL,
	code       TEXT    NOT NULL UNIQUE,
	taker      INTEGER REFERENCES member (id) ON DELETE CASCADE,
	created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX share_owner ON share (owner, kind, record);
CREATE INDEX share_taker ON share (taker) WHERE taker IS NOT NULL;

PRAGMA user_version = 10;
