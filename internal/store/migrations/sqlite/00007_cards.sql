-- Messages that show a pour and follow it, and whether a missed call was told.
--
-- next_at is as in due: when the row is to be looked at, or NULL while nothing
-- is to come. A card that is over wakes when its pour is changed again; one
-- whose message is gone never does.

-- +goose Up
CREATE TABLE card (
	id        INTEGER PRIMARY KEY AUTOINCREMENT,
	owner     INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop      INTEGER NOT NULL REFERENCES shop (id),
	space     TEXT    NOT NULL,
	of_pour   INTEGER NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	place     TEXT    NOT NULL,
	message   TEXT    NOT NULL,
	state     TEXT    NOT NULL CHECK (state IN ('live', 'claimed', 'over', 'gone')),
	next_at   INTEGER,
	token     TEXT,
	changes   INTEGER NOT NULL, -- of the pour since it was posted
	tries     INTEGER NOT NULL, -- that failed since it was last shown
	posted_at INTEGER NOT NULL,
	UNIQUE (space, place, message),
	CHECK (next_at IS NULL OR state IN ('live', 'claimed')),
	CHECK ((token IS NULL) = (state <> 'claimed'))
) STRICT;
CREATE INDEX card_next ON card (space, next_at) WHERE next_at IS NOT NULL;
CREATE INDEX card_claimed ON card (space, next_at) WHERE state = 'claimed';
CREATE INDEX card_owner ON card (owner);
CREATE INDEX card_shop ON card (shop);
CREATE INDEX card_pour ON card (of_pour);

-- When a missed call was told in an answer: it is told there once.
ALTER TABLE due ADD COLUMN told_at INTEGER;
CREATE INDEX due_untold ON due (owner) WHERE missed_at IS NOT NULL AND told_at IS NULL;

PRAGMA user_version = 7;
