-- What the server refuses by itself, whatever a sender's program does.
--
-- These functions run with the rights of the schema's owner, so their search path is fixed.

CREATE FUNCTION callout.refuse(code text, what text) RETURNS void
LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RAISE EXCEPTION USING ERRCODE = code, MESSAGE = what;
END $$;

-- The hash of an entry, as callout/table/book/chain.py computes it. to_json escapes a text as
-- Python's json does with ensure_ascii off.
CREATE FUNCTION callout.entry_hash(
    game bytea, former bytea, number integer, call text, fields text, source text,
    left_tenths integer, wall_ms bigint, events text
) RETURNS bytea
LANGUAGE sql STABLE PARALLEL SAFE SET search_path = pg_catalog, pg_temp AS $$
    SELECT sha256(game || former || convert_to(
        '[' || number || ',' || to_json(call) || ',' || to_json(fields) || ',' || to_json(source)
        || ',' || left_tenths || ',' || wall_ms || ',' || to_json(events) || ']', 'UTF8'))
$$;

-- A game belongs to the role that sent it first. Row-level security says the same, but only after
-- the triggers below.
CREATE FUNCTION callout.check_sender(sent bytea) RETURNS void
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF NOT EXISTS (
        SELECT FROM callout.game g WHERE g.id = sent AND g.sender = session_user
    ) THEN
        PERFORM callout.refuse('CO005', format(
            'another role than %s sent this game first; the secretary can give it to this one',
            session_user));
    END IF;
END $$;

CREATE FUNCTION callout.check_version() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    head jsonb;
    fits record;
BEGIN
    PERFORM callout.check_sender(NEW.game);
    NEW.received_at := now();
    NEW.closed_entry := NULL;
    NEW.closed_at := NULL;
    NEW.uncounted := true;
    IF NEW.start <> sha256(NEW.game || convert_to(NEW.header, 'UTF8')) THEN
        PERFORM callout.refuse('CO001', 'the header is not as it was recorded');
    END IF;
    IF NEW.version > 1 AND NOT EXISTS (
        SELECT FROM callout.version v WHERE v.game = NEW.game AND v.version = NEW.version - 1
    ) THEN
        PERFORM callout.refuse('CO002', format('version %s comes before version %s',
                                               NEW.version, NEW.version - 1));
    END IF;
    head := NEW.header::jsonb;
    IF jsonb_typeof(head) <> 'object' OR NOT head ?& ARRAY['profile', 'home', 'guest'] THEN
        PERFORM callout.refuse('CO001', 'the header is not that of a game');
    END IF;
    IF NEW.version = 1 THEN
        SELECT count(*) AS several, min(f.id) AS id, min(f.season) AS season INTO fits
        FROM callout.fixtures_of(head, session_user) AS f;
        UPDATE callout.game g
        SET official = head ->> 'book' IS DISTINCT FROM 'second',
            fixture = CASE WHEN fits.several = 1 THEN fits.id END,
            season = CASE WHEN fits.several = 1 THEN fits.season END
        WHERE g.id = NEW.game;
    END IF;
    RETURN NEW;
END $$;

-- The fixtures that a game may be: the one that its header names; else those of its two teams that
-- have no official book yet.
CREATE FUNCTION callout.fixtures_of(head jsonb, by name) RETURNS SETOF callout.fixture
LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS $$
    SELECT f.* FROM callout.fixture f
    WHERE head ? 'fixture' AND f.key = head ->> 'fixture' AND (f.sender IS NULL OR f.sender = by)
    UNION ALL
    SELECT f.* FROM callout.fixture f
    JOIN callout.team h ON h.id = f.home
    JOIN callout.team g ON g.id = f.guest
    WHERE NOT head ? 'fixture' AND (f.sender IS NULL OR f.sender = by)
      AND lower(h.name) = lower(btrim(split_part(head ->> 'home', '|', 1)))
      AND lower(g.name) = lower(btrim(split_part(head ->> 'guest', '|', 1)))
      AND (head ->> 'book' IS NOT DISTINCT FROM 'second' OR NOT EXISTS (
          SELECT FROM callout.game o WHERE o.fixture = f.id AND o.official))
$$;
CREATE INDEX team_lower ON callout.team (lower(name));

CREATE TRIGGER check_version BEFORE INSERT ON callout.version
FOR EACH ROW EXECUTE FUNCTION callout.check_version();

-- An entry is taken if it follows the newest one by its hash. The same entry again changes nothing;
-- another one in its place is refused, and so is any after the end, once the grace is over.
CREATE FUNCTION callout.check_entry() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    book record;
    newest record;
    there bytea;
    made jsonb;
BEGIN
    PERFORM callout.check_sender(NEW.game);
    NEW.received_at := now();
    -- The lock makes two senders of one game take turns.
    SELECT v.start, v.closed_entry, v.closed_at, v.uncounted,
           coalesce(l.grace_minutes, 30) AS grace INTO book
    FROM callout.version v
    JOIN callout.game g ON g.id = v.game
    LEFT JOIN callout.season s ON s.id = g.season
    LEFT JOIN callout.league l ON l.id = s.league
    WHERE v.game = NEW.game AND v.version = NEW.version FOR UPDATE OF v;
    IF NOT FOUND THEN
        PERFORM callout.refuse('CO002', 'an entry comes after its game');
    END IF;
    SELECT e.number, e.hash INTO newest FROM callout.entry e
    WHERE e.game = NEW.game AND e.version = NEW.version ORDER BY e.number DESC LIMIT 1;
    IF newest.number >= NEW.number THEN
        SELECT e.hash INTO there FROM callout.entry e
        WHERE e.game = NEW.game AND e.version = NEW.version AND e.number = NEW.number;
        IF there = NEW.hash THEN
            RETURN NULL;
        END IF;
        PERFORM callout.refuse('CO003', format('entry %s is here already, and is another',
                                               NEW.number));
    END IF;
    IF NEW.hash IS DISTINCT FROM callout.entry_hash(
        NEW.game, NEW.former, NEW.number, NEW.call, NEW.fields, NEW.source, NEW.left_tenths,
        NEW.wall_ms, NEW.events
    ) THEN
        PERFORM callout.refuse('CO001', format('entry %s is not as it was recorded', NEW.number));
    END IF;
    IF NEW.former <> coalesce(newest.hash, book.start) THEN
        PERFORM callout.refuse('CO001', format('entry %s does not follow the one before it',
                                               NEW.number));
    END IF;
    IF book.closed_at + make_interval(mins => book.grace) < now() THEN
        PERFORM callout.refuse('CO003', format('the game was over at entry %s',
                                               book.closed_entry));
    END IF;
    IF NOT book.uncounted THEN
        UPDATE callout.version v SET uncounted = true
        WHERE v.game = NEW.game AND v.version = NEW.version;
    END IF;
    made := NEW.events::jsonb;
    IF made @> '[{"event": "game_ended"}]' OR made @> '[{"event": "game_forfeited"}]' THEN
        UPDATE callout.version v SET closed_entry = NEW.number, closed_at = now()
        WHERE v.game = NEW.game AND v.version = NEW.version;
    ELSIF made @> jsonb_build_array(
        jsonb_build_object('event', 'taken_back', 'entry', book.closed_entry)
    ) THEN
        UPDATE callout.version v SET closed_entry = NULL, closed_at = NULL
        WHERE v.game = NEW.game AND v.version = NEW.version;
    END IF;
    RETURN NEW;
END $$;

CREATE TRIGGER check_entry BEFORE INSERT ON callout.entry
FOR EACH ROW EXECUTE FUNCTION callout.check_entry();

CREATE FUNCTION callout.never() RETURNS trigger
LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    PERFORM callout.refuse('CO004', format('a row of %s is never changed or deleted', TG_TABLE_NAME));
END $$;

CREATE TRIGGER entry_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON callout.entry
FOR EACH STATEMENT EXECUTE FUNCTION callout.never();

-- Names only where the league shows them, and none at all after they were struck.
CREATE FUNCTION callout.check_person() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    place record;
BEGIN
    SELECT l.shows_names, s.struck_at INTO place
    FROM callout.game g
    LEFT JOIN callout.season s ON s.id = g.season
    LEFT JOIN callout.league l ON l.id = s.league
    WHERE g.id = NEW.game;
    IF place.shows_names IS NOT TRUE OR place.struck_at IS NOT NULL THEN
        NEW.name := NULL;
    END IF;
    IF place.struck_at IS NOT NULL THEN
        NEW.initials := NULL;
    END IF;
    RETURN NEW;
END $$;

CREATE TRIGGER check_person BEFORE INSERT ON callout.person
FOR EACH ROW EXECUTE FUNCTION callout.check_person();

-- Strikes the names and initials of a season; of every season, and of games that belong to none,
-- without one. Returns how many rows held any.
CREATE FUNCTION callout.strike_names(of_season integer) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    struck bigint;
BEGIN
    -- Nobody adds a name meanwhile.
    LOCK TABLE callout.person IN SHARE ROW EXCLUSIVE MODE;
    UPDATE callout.season s SET struck_at = now()
    WHERE of_season IS NULL OR s.id = of_season;
    UPDATE callout.person p SET name = NULL, initials = NULL
    FROM callout.game g
    WHERE g.id = p.game AND (of_season IS NULL OR g.season = of_season)
      AND (p.name IS NOT NULL OR p.initials IS NOT NULL);
    GET DIAGNOSTICS struck = ROW_COUNT;
    RETURN struck;
END $$;
REVOKE ALL ON FUNCTION callout.strike_names(integer) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION callout.strike_names(integer) TO callout_secretary;

-- The oldest schema that a program may know and still send. A migration that older programs cannot
-- cope with raises it.
CREATE FUNCTION callout.oldest_schema() RETURNS integer
LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS 'SELECT 1';
