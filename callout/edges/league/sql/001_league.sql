-- The league's tables. A table at a gym sends games as one role each; the secretary reads them all.
--
-- Roles belong to the whole server, so they may be there already. Nobody logs in as one of these
-- three: each gym has a role of its own in callout_table.
DO $$
DECLARE each text;
BEGIN
    FOREACH each IN ARRAY ARRAY['callout_table', 'callout_secretary', 'callout_reader'] LOOP
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = each) THEN
            EXECUTE format('CREATE ROLE %I NOLOGIN', each);
        END IF;
    END LOOP;
END $$;

GRANT USAGE ON SCHEMA callout TO callout_table, callout_secretary, callout_reader;

CREATE TABLE callout.league (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name text NOT NULL UNIQUE CHECK (length(name) BETWEEN 1 AND 200),
    ranking jsonb NOT NULL,
    shows_names boolean NOT NULL DEFAULT false,
    -- A game may be put right for so long after its end; a later change is kept beside it.
    grace_minutes integer NOT NULL DEFAULT 30 CHECK (grace_minutes >= 0)
);

CREATE TABLE callout.season (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    league integer NOT NULL REFERENCES callout.league,
    name text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    profile text NOT NULL,
    struck_at timestamptz,
    UNIQUE (league, name)
);
COMMENT ON COLUMN callout.season.struck_at IS
    'Names were struck then, and none is taken any more.';

CREATE TABLE callout.team (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season integer NOT NULL REFERENCES callout.season,
    name text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    numbers text NOT NULL DEFAULT '' CHECK (length(numbers) <= 500),
    UNIQUE (season, name)
);

CREATE TABLE callout.fixture (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    season integer NOT NULL REFERENCES callout.season,
    key text NOT NULL CHECK (length(key) BETWEEN 1 AND 200),
    starts timestamp,
    place text NOT NULL DEFAULT '' CHECK (length(place) <= 500),
    home integer NOT NULL REFERENCES callout.team,
    guest integer NOT NULL REFERENCES callout.team,
    sender name,
    UNIQUE (season, key),
    CHECK (home <> guest)
);
COMMENT ON COLUMN callout.fixture.starts IS 'By the clock on the wall of the gym.';
COMMENT ON COLUMN callout.fixture.sender IS
    'The one role whose games count for this fixture; any role where it is null.';
CREATE INDEX fixture_teams ON callout.fixture (home, guest);
CREATE INDEX fixture_key ON callout.fixture (key);

CREATE TABLE callout.game (
    id bytea PRIMARY KEY CHECK (length(id) = 16),
    sender name NOT NULL DEFAULT session_user,
    received_at timestamptz NOT NULL DEFAULT now(),
    season integer REFERENCES callout.season,
    fixture integer REFERENCES callout.fixture,
    official boolean NOT NULL DEFAULT true,
    counts smallint NOT NULL DEFAULT 1
);
COMMENT ON COLUMN callout.game.official IS 'Whether it is the official book, not a second one.';
COMMENT ON COLUMN callout.game.counts IS 'The version whose result counts.';
CREATE INDEX game_fixture ON callout.game (fixture);
CREATE INDEX game_season ON callout.game (season);
CREATE INDEX game_sender ON callout.game (sender);

CREATE TABLE callout.version (
    game bytea REFERENCES callout.game,
    version smallint CHECK (version BETWEEN 1 AND 20),
    header text NOT NULL CHECK (length(header) <= 65536),
    start bytea NOT NULL,
    received_at timestamptz NOT NULL DEFAULT now(),
    closed_entry integer,
    closed_at timestamptz,
    uncounted boolean NOT NULL DEFAULT true,
    PRIMARY KEY (game, version)
);
COMMENT ON TABLE callout.version IS
    'A book of a game. One that was changed after its end is another, beside the first.';
COMMENT ON COLUMN callout.version.uncounted IS 'Whether entries came since the result was made.';
CREATE INDEX version_uncounted ON callout.version (game) WHERE uncounted;
CREATE INDEX version_open ON callout.version (received_at) WHERE closed_at IS NULL;

CREATE TABLE callout.entry (
    game bytea,
    version smallint,
    number integer CHECK (number BETWEEN 1 AND 20000),
    call text NOT NULL CHECK (length(call) <= 200),
    fields text NOT NULL CHECK (length(fields) <= 65536),
    source text NOT NULL CHECK (length(source) <= 200),
    left_tenths integer NOT NULL,
    wall_ms bigint NOT NULL,
    events text NOT NULL CHECK (length(events) <= 65536),
    former bytea NOT NULL CHECK (length(former) = 32),
    hash bytea NOT NULL CHECK (length(hash) = 32),
    received_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (game, version, number),
    FOREIGN KEY (game, version) REFERENCES callout.version
);

CREATE TABLE callout.person (
    game bytea REFERENCES callout.game,
    side text CHECK (side IN ('home', 'guest')),
    number text CHECK (length(number) <= 3),
    initials text CHECK (length(initials) <= 20),
    name text CHECK (length(name) <= 200),
    PRIMARY KEY (game, side, number)
);
COMMENT ON TABLE callout.person IS
    'The only place where names stand. No header and no entry holds one.';

CREATE TABLE callout.sending (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    game bytea NOT NULL,
    version smallint NOT NULL,
    sender name NOT NULL DEFAULT session_user,
    received_at timestamptz NOT NULL DEFAULT now(),
    entries integer NOT NULL CHECK (entries >= 0),
    clock_off_s double precision NOT NULL,
    program text NOT NULL CHECK (length(program) <= 100),
    FOREIGN KEY (game, version) REFERENCES callout.version
);
COMMENT ON TABLE callout.sending IS 'What came when, and how far the clock of its machine was off.';

-- What the engine makes of the entries. It can be computed again at any time.

CREATE TABLE callout.result (
    game bytea,
    version smallint,
    entries integer NOT NULL,
    over boolean NOT NULL,
    period smallint NOT NULL,
    home integer NOT NULL,
    guest integer NOT NULL,
    lost text NOT NULL DEFAULT '' CHECK (lost IN ('', 'home', 'guest')),
    defaulted boolean NOT NULL DEFAULT false,
    problems text[] NOT NULL DEFAULT '{}',
    PRIMARY KEY (game, version),
    FOREIGN KEY (game, version) REFERENCES callout.version
);

CREATE TABLE callout.player_line (
    game bytea,
    version smallint,
    side text CHECK (side IN ('home', 'guest')),
    number text,
    points integer NOT NULL,
    made_1 integer NOT NULL,
    made_2 integer NOT NULL,
    made_3 integer NOT NULL,
    missed_1 integer NOT NULL,
    fouls integer NOT NULL,
    PRIMARY KEY (game, version, side, number),
    FOREIGN KEY (game, version) REFERENCES callout.result ON DELETE CASCADE
);

CREATE TABLE callout.offence (
    game bytea,
    version smallint,
    side text CHECK (side IN ('home', 'guest')),
    who text,
    kind text,
    count integer NOT NULL CHECK (count > 0),
    PRIMARY KEY (game, version, side, who, kind),
    FOREIGN KEY (game, version) REFERENCES callout.result ON DELETE CASCADE
);
COMMENT ON COLUMN callout.offence.who IS 'A shirt number, "coach" or "bench".';
