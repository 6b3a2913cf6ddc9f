-- Jugs and packs, as in SQLite.

-- +goose Up
CREATE TABLE container (
	id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner       bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop        bigint NOT NULL REFERENCES shop (id),
	shared      bigint NOT NULL CHECK (shared IN (0, 1)),
	material    bigint REFERENCES material (id) ON DELETE SET NULL,
	plan        text COLLATE "C" NOT NULL,
	opened_on   bigint,
	finished_at bigint,
	due         bigint REFERENCES due (id) ON DELETE SET NULL, -- the call before it is too old
	created_at  bigint NOT NULL,
	removed_at  bigint
);
CREATE INDEX container_owner ON container (owner, removed_at);
CREATE INDEX container_shop ON container (shop, shared);
CREATE INDEX container_material ON container (material);
CREATE INDEX container_due ON container (due) WHERE due IS NOT NULL;

CREATE TABLE container_event (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       bigint NOT NULL REFERENCES shop (id),
	shared     bigint NOT NULL CHECK (shared = 0), -- it is seen with its container
	container  bigint NOT NULL REFERENCES container (id) ON DELETE CASCADE,
	by_member  bigint REFERENCES member (id) ON DELETE SET NULL, -- whose hand it was
	what       text COLLATE "C" NOT NULL CHECK (what IN ('open', 'use', 'weigh', 'pour', 'finish')),
	a          double precision NOT NULL, -- g of A taken; below zero where more was there than thought
	b          double precision NOT NULL, -- g of B
	pour       bigint REFERENCES pour (id) ON DELETE SET NULL, -- that drew it
	detail     text COLLATE "C" NOT NULL, -- how the container was before
	created_at bigint NOT NULL,
	removed_at bigint
);
CREATE INDEX container_event_owner ON container_event (owner, removed_at);
CREATE INDEX container_event_shop ON container_event (shop, shared);
CREATE INDEX container_event_container ON container_event (container);
CREATE INDEX container_event_by ON container_event (by_member) WHERE by_member IS NOT NULL;
CREATE INDEX container_event_pour ON container_event (pour) WHERE pour IS NOT NULL;
