-- Everything that is kept, as SQLite has it after its migration of the same
-- number, so that the migrations of both count in step from here.
--
-- Texts are compared byte by byte (COLLATE "C"), as the program folds and
-- orders them itself. Ids come from sequences, which never give one twice.
-- Everything else is said in the migrations of SQLite.

-- +goose Up
CREATE TABLE member (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key        text COLLATE "C" NOT NULL UNIQUE,
	name       text COLLATE "C" NOT NULL,
	prefs      text COLLATE "C" NOT NULL,
	created_at bigint NOT NULL
);

CREATE TABLE shop (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key        text COLLATE "C" NOT NULL UNIQUE,
	name       text COLLATE "C" NOT NULL,
	created_at bigint NOT NULL
);

CREATE TABLE shop_setting (
	shop      bigint PRIMARY KEY REFERENCES shop (id) ON DELETE CASCADE,
	settings  text COLLATE "C" NOT NULL,
	edited_by bigint REFERENCES member (id) ON DELETE SET NULL,
	edited_at bigint NOT NULL
);
CREATE INDEX shop_setting_editor ON shop_setting (edited_by);

CREATE TABLE shop_manager (
	shop   bigint NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	member bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	since  bigint NOT NULL,
	PRIMARY KEY (shop, member)
);
CREATE INDEX shop_manager_member ON shop_manager (member);

CREATE TABLE material (
	id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner          bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop           bigint NOT NULL REFERENCES shop (id),
	shared         bigint NOT NULL CHECK (shared IN (0, 1)),
	version        bigint NOT NULL CHECK (version > 0),
	name           text COLLATE "C" NOT NULL,
	name_key       text COLLATE "C" NOT NULL,
	family         text COLLATE "C" NOT NULL,
	created_at     bigint NOT NULL,
	edited_at      bigint NOT NULL,
	removed_at     bigint,
	origin         bigint,
	origin_version bigint NOT NULL DEFAULT 0,
	origin_left    bigint NOT NULL DEFAULT 0,
	origin_by      bigint REFERENCES member (id) ON DELETE SET NULL,
	origin_share   bigint,
	first          bigint,
	first_by       bigint REFERENCES member (id) ON DELETE SET NULL,
	hidden_in      bigint REFERENCES shop (id) ON DELETE SET NULL,
	hidden_why     text COLLATE "C" NOT NULL DEFAULT '',
	pinned_in      bigint REFERENCES shop (id) ON DELETE SET NULL,
	pot_life       double precision,
	demold         double precision,
	shore          double precision,
	shore_scale    text COLLATE "C",
	cost           double precision,
	cured_color    text COLLATE "C"
);
CREATE UNIQUE INDEX material_name ON material (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX material_owner ON material (owner, removed_at);
CREATE INDEX material_shop ON material (shop, shared);
CREATE INDEX material_origin ON material (origin) WHERE origin IS NOT NULL;
CREATE INDEX material_origin_by ON material (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX material_first_by ON material (first_by) WHERE first_by IS NOT NULL;

CREATE TABLE material_version (
	owner   bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record  bigint NOT NULL REFERENCES material (id) ON DELETE CASCADE,
	number  bigint NOT NULL CHECK (number > 0),
	at      bigint NOT NULL,
	profile text COLLATE "C" NOT NULL,
	PRIMARY KEY (owner, record, number)
);
CREATE INDEX material_version_record ON material_version (record);

CREATE TABLE mold (
	id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner          bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop           bigint NOT NULL REFERENCES shop (id),
	shared         bigint NOT NULL CHECK (shared IN (0, 1)),
	version        bigint NOT NULL CHECK (version > 0),
	name           text COLLATE "C" NOT NULL,
	name_key       text COLLATE "C" NOT NULL,
	family         text COLLATE "C" NOT NULL,
	created_at     bigint NOT NULL,
	edited_at      bigint NOT NULL,
	removed_at     bigint,
	origin         bigint,
	origin_version bigint NOT NULL DEFAULT 0,
	origin_left    bigint NOT NULL DEFAULT 0,
	origin_by      bigint REFERENCES member (id) ON DELETE SET NULL,
	origin_share   bigint,
	first          bigint,
	first_by       bigint REFERENCES member (id) ON DELETE SET NULL,
	hidden_in      bigint REFERENCES shop (id) ON DELETE SET NULL,
	hidden_why     text COLLATE "C" NOT NULL DEFAULT '',
	pinned_in      bigint REFERENCES shop (id) ON DELETE SET NULL
);
CREATE UNIQUE INDEX mold_name ON mold (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX mold_owner ON mold (owner, removed_at);
CREATE INDEX mold_shop ON mold (shop, shared);
CREATE INDEX mold_origin ON mold (origin) WHERE origin IS NOT NULL;
CREATE INDEX mold_origin_by ON mold (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX mold_first_by ON mold (first_by) WHERE first_by IS NOT NULL;

CREATE TABLE mold_version (
	owner   bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record  bigint NOT NULL REFERENCES mold (id) ON DELETE CASCADE,
	number  bigint NOT NULL CHECK (number > 0),
	at      bigint NOT NULL,
	profile text COLLATE "C" NOT NULL,
	PRIMARY KEY (owner, record, number)
);
CREATE INDEX mold_version_record ON mold_version (record);

CREATE TABLE faq (
	shop      bigint NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	topic_key text COLLATE "C" NOT NULL,
	topic     text COLLATE "C" NOT NULL,
	answer    text COLLATE "C" NOT NULL,
	edited_by bigint REFERENCES member (id) ON DELETE SET NULL,
	edited_at bigint NOT NULL,
	PRIMARY KEY (shop, topic_key)
);
CREATE INDEX faq_editor ON faq (edited_by);

CREATE TABLE measure (
	shop     bigint NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	hash     text COLLATE "C" NOT NULL,
	owner    bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	result   text COLLATE "C" NOT NULL,
	saved_at bigint NOT NULL,
	PRIMARY KEY (shop, hash)
);
CREATE INDEX measure_owner ON measure (owner, saved_at);
CREATE INDEX measure_age ON measure (shop, saved_at);

CREATE TABLE line (
	shop     bigint NOT NULL REFERENCES shop (id) ON DELETE CASCADE,
	id       text COLLATE "C" NOT NULL,
	owner    bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	line     text COLLATE "C" NOT NULL,
	saved_at bigint NOT NULL,
	PRIMARY KEY (shop, id)
);
CREATE INDEX line_owner ON line (owner, shop, saved_at);
CREATE INDEX line_age ON line (shop, saved_at);

CREATE TABLE seen_interaction (
	member bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	id     text COLLATE "C" NOT NULL,
	at     bigint NOT NULL,
	PRIMARY KEY (member, id)
);

CREATE TABLE pour (
	id               bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner            bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop             bigint NOT NULL REFERENCES shop (id),
	shared           bigint NOT NULL CHECK (shared IN (0, 1)),
	material         bigint REFERENCES material (id) ON DELETE SET NULL,
	material_version bigint NOT NULL,
	mold             bigint REFERENCES mold (id) ON DELETE SET NULL,
	state            text COLLATE "C" NOT NULL,
	plan             text COLLATE "C" NOT NULL,
	created_at       bigint NOT NULL,
	ended_at         bigint,
	removed_at       bigint,
	coats_on         bigint NOT NULL DEFAULT 0,
	coat_at          bigint,
	good             bigint NOT NULL DEFAULT 0,
	spoiled          bigint NOT NULL DEFAULT 0
);
CREATE INDEX pour_owner ON pour (owner, removed_at);
CREATE INDEX pour_shop ON pour (shop, shared);
CREATE INDEX pour_material ON pour (material);
CREATE INDEX pour_mold ON pour (mold);
CREATE INDEX pour_open_owner ON pour (owner, removed_at) WHERE state IN ('running', 'ready');
CREATE INDEX pour_open_shop ON pour (shop, shared) WHERE state IN ('running', 'ready');

CREATE TABLE cure_log (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       bigint NOT NULL REFERENCES shop (id),
	shared     bigint NOT NULL CHECK (shared IN (0, 1)),
	pour       bigint NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	ready_by   double precision,
	soft_at    double precision,
	created_at bigint NOT NULL,
	removed_at bigint,
	CHECK ((ready_by IS NULL) <> (soft_at IS NULL))
);
CREATE INDEX cure_log_owner ON cure_log (owner, removed_at);
CREATE INDEX cure_log_shop ON cure_log (shop, shared);
CREATE INDEX cure_log_pour ON cure_log (pour);

CREATE TABLE tint (
	id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner          bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop           bigint NOT NULL REFERENCES shop (id),
	shared         bigint NOT NULL CHECK (shared IN (0, 1)),
	version        bigint NOT NULL CHECK (version > 0),
	name           text COLLATE "C" NOT NULL,
	name_key       text COLLATE "C" NOT NULL,
	family         text COLLATE "C" NOT NULL,
	created_at     bigint NOT NULL,
	edited_at      bigint NOT NULL,
	removed_at     bigint,
	origin         bigint,
	origin_version bigint NOT NULL DEFAULT 0,
	origin_left    bigint NOT NULL DEFAULT 0,
	origin_by      bigint REFERENCES member (id) ON DELETE SET NULL,
	origin_share   bigint,
	first          bigint,
	first_by       bigint REFERENCES member (id) ON DELETE SET NULL,
	hidden_in      bigint REFERENCES shop (id) ON DELETE SET NULL,
	hidden_why     text COLLATE "C" NOT NULL DEFAULT '',
	pinned_in      bigint REFERENCES shop (id) ON DELETE SET NULL
);
CREATE UNIQUE INDEX tint_name ON tint (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX tint_owner ON tint (owner, removed_at);
CREATE INDEX tint_shop ON tint (shop, shared);
CREATE INDEX tint_origin ON tint (origin) WHERE origin IS NOT NULL;
CREATE INDEX tint_origin_by ON tint (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX tint_first_by ON tint (first_by) WHERE first_by IS NOT NULL;

CREATE TABLE tint_version (
	owner   bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record  bigint NOT NULL REFERENCES tint (id) ON DELETE CASCADE,
	number  bigint NOT NULL CHECK (number > 0),
	at      bigint NOT NULL,
	profile text COLLATE "C" NOT NULL,
	PRIMARY KEY (owner, record, number)
);
CREATE INDEX tint_version_record ON tint_version (record);

CREATE TABLE delivery (
	id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner    bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	key      text COLLATE "C" NOT NULL UNIQUE,
	place    text COLLATE "C" NOT NULL,
	state    text COLLATE "C" NOT NULL CHECK (state IN ('sending', 'sent', 'failed')),
	began_at bigint NOT NULL,
	ended_at bigint
);
CREATE INDEX delivery_owner ON delivery (owner, began_at);

CREATE TABLE due (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       bigint NOT NULL REFERENCES shop (id),
	shared     bigint NOT NULL CHECK (shared = 0),
	space      text COLLATE "C" NOT NULL,
	of_pour    bigint REFERENCES pour (id) ON DELETE CASCADE,
	state      text COLLATE "C" NOT NULL CHECK (state IN ('pending', 'claimed', 'sent', 'failed', 'canceled')),
	at         bigint NOT NULL,
	next_at    bigint,
	token      text COLLATE "C",
	delivery   bigint,
	calls      bigint NOT NULL,
	missed_at  bigint,
	plan       text COLLATE "C" NOT NULL,
	created_at bigint NOT NULL,
	edited_at  bigint NOT NULL,
	removed_at bigint,
	told_at    bigint,
	CHECK ((next_at IS NULL) = (state IN ('sent', 'failed', 'canceled'))),
	CHECK ((token IS NULL) = (state <> 'claimed'))
);
CREATE INDEX due_next ON due (space, next_at) WHERE next_at IS NOT NULL;
CREATE INDEX due_claimed ON due (space, next_at) WHERE state = 'claimed';
CREATE INDEX due_owner ON due (owner, next_at);
CREATE INDEX due_shop ON due (shop);
CREATE INDEX due_pour ON due (of_pour) WHERE of_pour IS NOT NULL;
CREATE INDEX due_untold ON due (owner) WHERE missed_at IS NOT NULL AND told_at IS NULL;

CREATE TABLE pull (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       bigint NOT NULL REFERENCES shop (id),
	shared     bigint NOT NULL CHECK (shared = 0),
	mold       bigint NOT NULL REFERENCES mold (id) ON DELETE CASCADE,
	what       text COLLATE "C" NOT NULL CHECK (what IN ('good', 'spoiled', 'coat')),
	number     bigint NOT NULL,
	late       bigint NOT NULL CHECK (late IN (0, 1)),
	why        text COLLATE "C" NOT NULL,
	created_at bigint NOT NULL,
	removed_at bigint
);
CREATE INDEX pull_owner ON pull (owner, removed_at);
CREATE INDEX pull_shop ON pull (shop, shared);
CREATE INDEX pull_mold ON pull (mold);

CREATE TABLE pour_event (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop       bigint NOT NULL REFERENCES shop (id),
	shared     bigint NOT NULL CHECK (shared = 0),
	pour       bigint NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	what       text COLLATE "C" NOT NULL CHECK (what IN ('ready', 'soft', 'done', 'failed', 'canceled', 'coat', 'note')),
	detail     text COLLATE "C" NOT NULL,
	created_at bigint NOT NULL,
	removed_at bigint
);
CREATE INDEX pour_event_owner ON pour_event (owner, removed_at);
CREATE INDEX pour_event_shop ON pour_event (shop, shared);
CREATE INDEX pour_event_pour ON pour_event (pour);

CREATE TABLE card (
	id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner     bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop      bigint NOT NULL REFERENCES shop (id),
	space     text COLLATE "C" NOT NULL,
	of_pour   bigint NOT NULL REFERENCES pour (id) ON DELETE CASCADE,
	place     text COLLATE "C" NOT NULL,
	message   text COLLATE "C" NOT NULL,
	state     text COLLATE "C" NOT NULL CHECK (state IN ('live', 'claimed', 'over', 'gone')),
	next_at   bigint,
	token     text COLLATE "C",
	changes   bigint NOT NULL,
	tries     bigint NOT NULL,
	posted_at bigint NOT NULL,
	UNIQUE (space, place, message),
	CHECK (next_at IS NULL OR state IN ('live', 'claimed')),
	CHECK ((token IS NULL) = (state <> 'claimed'))
);
CREATE INDEX card_next ON card (space, next_at) WHERE next_at IS NOT NULL;
CREATE INDEX card_claimed ON card (space, next_at) WHERE state = 'claimed';
CREATE INDEX card_owner ON card (owner);
CREATE INDEX card_shop ON card (shop);
CREATE INDEX card_pour ON card (of_pour);

CREATE TABLE board (
	shop    bigint PRIMARY KEY REFERENCES shop (id) ON DELETE CASCADE,
	hash    text COLLATE "C" NOT NULL UNIQUE,
	made_by bigint REFERENCES member (id) ON DELETE SET NULL,
	made_at bigint NOT NULL
);
CREATE INDEX board_maker ON board (made_by);

CREATE TABLE formula (
	id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner          bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	shop           bigint NOT NULL REFERENCES shop (id),
	shared         bigint NOT NULL CHECK (shared IN (0, 1)),
	version        bigint NOT NULL CHECK (version > 0),
	name           text COLLATE "C" NOT NULL,
	name_key       text COLLATE "C" NOT NULL,
	family         text COLLATE "C" NOT NULL,
	created_at     bigint NOT NULL,
	edited_at      bigint NOT NULL,
	removed_at     bigint,
	origin         bigint,
	origin_version bigint NOT NULL DEFAULT 0,
	origin_left    bigint NOT NULL DEFAULT 0,
	origin_by      bigint REFERENCES member (id) ON DELETE SET NULL,
	origin_share   bigint,
	first          bigint,
	first_by       bigint REFERENCES member (id) ON DELETE SET NULL,
	hidden_in      bigint REFERENCES shop (id) ON DELETE SET NULL,
	hidden_why     text COLLATE "C" NOT NULL DEFAULT '',
	pinned_in      bigint REFERENCES shop (id) ON DELETE SET NULL
);
CREATE UNIQUE INDEX formula_name ON formula (owner, name_key) WHERE removed_at IS NULL;
CREATE INDEX formula_owner ON formula (owner, removed_at);
CREATE INDEX formula_shop ON formula (shop, shared);
CREATE INDEX formula_origin ON formula (origin) WHERE origin IS NOT NULL;
CREATE INDEX formula_origin_by ON formula (origin_by) WHERE origin_by IS NOT NULL;
CREATE INDEX formula_first_by ON formula (first_by) WHERE first_by IS NOT NULL;

CREATE TABLE formula_version (
	owner   bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	record  bigint NOT NULL REFERENCES formula (id) ON DELETE CASCADE,
	number  bigint NOT NULL CHECK (number > 0),
	at      bigint NOT NULL,
	profile text COLLATE "C" NOT NULL,
	PRIMARY KEY (owner, record, number)
);
CREATE INDEX formula_version_record ON formula_version (record);

CREATE TABLE share (
	id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	owner      bigint NOT NULL REFERENCES member (id) ON DELETE CASCADE,
	kind       text COLLATE "C" NOT NULL CHECK (kind IN ('material', 'mold', 'tint', 'formula')),
	record     bigint NOT NULL,
	code       text COLLATE "C" NOT NULL UNIQUE,
	taker      bigint REFERENCES member (id) ON DELETE CASCADE,
	created_at bigint NOT NULL
);
CREATE INDEX share_owner ON share (owner, kind, record);
CREATE INDEX share_taker ON share (taker) WHERE taker IS NOT NULL;

CREATE TABLE computed (
	id    bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key   text COLLATE "C" NOT NULL UNIQUE,
	value text COLLATE "C" NOT NULL
);

-- As SQLite has it: where the second text begins in the first, from 1, or 0.
-- +goose StatementBegin
CREATE FUNCTION instr(text, text) RETURNS integer LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS
	'SELECT strpos($1, $2)';
-- +goose StatementEnd

-- What a kilogram costs. Where it can't be said, or is no number, it is unsaid:
-- a division by zero is NULL to SQLite and an error here.
-- +goose StatementBegin
CREATE FUNCTION material_cost(price double precision, pack double precision, pack_a double precision, pack_b double precision,
	part_a double precision, part_b double precision) RETURNS double precision LANGUAGE plpgsql IMMUTABLE AS $$
DECLARE
	of_a double precision := pack_a / part_a;
	of_b double precision := pack_b / part_b;
	made double precision := pack;
BEGIN
	IF of_a IS NOT NULL AND of_b IS NOT NULL THEN -- least would pass over a NULL
		made := least(of_a, of_b) * (part_a + part_b);
	END IF;
	RETURN 1000 * price / made;
EXCEPTION WHEN division_by_zero OR numeric_value_out_of_range THEN
	RETURN NULL;
END
$$;
-- +goose StatementEnd

-- The figures that materials are searched by, as in SQLite's migration 11.
CREATE VIEW material_figures AS
WITH said AS (
	SELECT owner, record, number, profile::json AS p FROM material_version
), amounts AS (
	SELECT owner, record, number, p,
		(p ->> 'price')::double precision AS price,
		(p ->> 'pack')::double precision AS pack,
		coalesce((p ->> 'pack_a')::double precision, (p ->> 'pack')::double precision - (p ->> 'pack_b')::double precision) AS pack_a,
		coalesce((p ->> 'pack_b')::double precision, (p ->> 'pack')::double precision - (p ->> 'pack_a')::double precision) AS pack_b,
		CASE p #>> '{ratio,By}' WHEN '2' THEN 1 WHEN '1' THEN (p ->> 'density_a')::double precision END * (p #>> '{ratio,A}')::double precision AS part_a,
		CASE p #>> '{ratio,By}' WHEN '2' THEN 1 WHEN '1' THEN (p ->> 'density_b')::double precision END * (p #>> '{ratio,B}')::double precision AS part_b
	FROM said
)
SELECT owner, record, number,
	(p ->> 'pot_life')::double precision AS pot_life,
	(p ->> 'demold')::double precision AS demold,
	(p #>> '{hardness,shore}')::double precision AS shore,
	p #>> '{hardness,scale}' AS shore_scale,
	material_cost(price, pack, pack_a, pack_b, part_a, part_b) AS cost,
	upper((p ->> 'cured_color') COLLATE "C") AS cured_color
FROM amounts;

-- +goose StatementBegin
CREATE FUNCTION material_version_added() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	UPDATE material SET (pot_life, demold, shore, shore_scale, cost, cured_color) =
		(SELECT f.pot_life, f.demold, f.shore, f.shore_scale, f.cost, f.cured_color
		FROM material_figures f WHERE f.owner = NEW.owner AND f.record = NEW.record AND f.number = NEW.number)
	WHERE id = NEW.record AND version = NEW.number;
	RETURN NULL;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER material_version_added AFTER INSERT ON material_version
	FOR EACH ROW EXECUTE FUNCTION material_version_added();

-- +goose StatementBegin
CREATE FUNCTION material_version_chosen() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	UPDATE material SET (pot_life, demold, shore, shore_scale, cost, cured_color) =
		(SELECT f.pot_life, f.demold, f.shore, f.shore_scale, f.cost, f.cured_color
		FROM material_figures f WHERE f.owner = NEW.owner AND f.record = NEW.id AND f.number = NEW.version)
	WHERE id = NEW.id;
	RETURN NULL;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER material_version_chosen AFTER UPDATE OF version, owner ON material
	FOR EACH ROW EXECUTE FUNCTION material_version_chosen();
