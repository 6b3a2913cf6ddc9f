-- What members are called back for, and the messages that call them.
--
-- next_at is when the row is to be looked at: when it is due, when a claim of
-- it ends, or NULL once it has ended. The loop asks by it across all shops, so
-- its index is led by the name space of the members and the time; those of
-- members and shops are beside it.

-- +goose Up
CREATE TABLE delivery (
	id       INTEGER PRIMARY KEY AUTOINCREMENT,
	owner    INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	key      TEXT    NOT NULL UNIQUE,
	place    TEXT    NOT NULL,
	state    TEXT    NOT NULL CHECK (state IN ('sending', 'sent', 'failed')),
	began_at INTEGER NOT NULL,
	ended_at INTEGER
) STRICT;
CREATE INDEX delivery_owner ON delivery (owner, began_at);

CREATE TABLE due (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	owner      INTEGER NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       INTEGER NOT NULL REFERENCES shop (id),
	shared     INTEGER NOT NULL CHECK (shared = 0),
	space      TEXT    NOT NULL,
	of_pour    INTEGER REFERENCES pour (id) ON DELETE CASCADE,
	state      TEXT    NOT NULL CHECK (state IN ('pending', 'claimed', 'sent', 'failed', 'canceled')),
	at         INTEGER NOT NULL,
	next_at    INTEGER,
	token      TEXT,
	delivery   INTEGER, -- the message that is being sent for it
	calls      INTEGER NOT NULL,
	missed_at  INTEGER,
	plan       TEXT    NOT NULL,
	created_at INTEGER NOT NULL,
	edited_at  INTEGER NOT NULL,
	removed_at INTEGER,
	CHECK ((next_at IS NULL) = (state IN ('sent', 'failed', 'canceled'))),
	CHECK ((token IS NULL) = (state <> 'claimed'))
) STRICT;
CREATE INDEX due_next ON due (space, next_at) WHERE next_at IS NOT NULL;
CREATE INDEX due_claimed ON due (space, next_at) WHERE state = 'claimed';
CREATE INDEX due_owner ON due (owner, next_at);
CREATE INDEX due_shop ON due (shop);
CREATE INDEX due_pour ON due (of_pour) WHERE of_pour IS NOT NULL;

PRAGMA user_version = 4;
