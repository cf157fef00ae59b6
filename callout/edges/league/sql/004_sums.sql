-- Sums for each pair of teams and for each player, so that no answer reads all games of a season.
--
-- A sum is only a copy of what follows from the results: a view says how, a table keeps it, and
-- `callout league rebuild` compares the two. What may change a sum notes its teams in `stale`; who
-- counts results then makes all sums of those teams again.

ALTER TABLE callout.result ADD signed boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN callout.result.signed IS 'Whether the officials have approved the score.';

-- A result that was made before says "not signed"; that of an approved book is made again.
UPDATE callout.version v SET uncounted = true
WHERE NOT v.uncounted AND EXISTS (
    SELECT FROM callout.entry e
    WHERE e.game = v.game AND e.version = v.version AND strpos(e.events, '"score_approved"') > 0
);

CREATE VIEW callout.counting AS
SELECT ga.id AS game, ga.counts AS version, f.id AS fixture, f.season, f.home, f.guest, f.starts
FROM callout.fixture f
JOIN callout.game ga ON ga.fixture = f.id AND ga.official
WHERE NOT EXISTS (
    SELECT FROM callout.game o WHERE o.fixture = f.id AND o.official
      AND (o.received_at, o.id) < (ga.received_at, ga.id)
);
COMMENT ON VIEW callout.counting IS
    'The one official book of each fixture that counts: the first that came.';

CREATE VIEW callout.pair_sum_now AS
SELECT team, other, count(*) FILTER (WHERE outcome = 'win')::integer AS won,
       count(*) FILTER (WHERE outcome = 'loss')::integer AS lost,
       count(*) FILTER (WHERE outcome = 'default')::integer AS defaulted,
       count(*) FILTER (WHERE outcome = 'forfeit')::integer AS forfeited,
       sum(scored)::integer AS scored, sum(conceded)::integer AS conceded
FROM (
    SELECT c.home AS team, c.guest AS other, r.home AS scored, r.guest AS conceded,
           CASE WHEN r.lost = 'home' AND r.defaulted THEN 'default'
                WHEN r.lost = 'home' THEN 'forfeit' WHEN r.lost = 'guest' THEN 'win'
                WHEN r.home > r.guest THEN 'win' WHEN r.home < r.guest THEN 'loss' END AS outcome
    FROM callout.counting c JOIN callout.result r USING (game, version) WHERE r.over
    UNION ALL
    SELECT c.guest, c.home, r.guest, r.home,
           CASE WHEN r.lost = 'guest' AND r.defaulted THEN 'default'
                WHEN r.lost = 'guest' THEN 'forfeit' WHEN r.lost = 'home' THEN 'win'
                WHEN r.guest > r.home THEN 'win' WHEN r.guest < r.home THEN 'loss' END
    FROM callout.counting c JOIN callout.result r USING (game, version) WHERE r.over
) AS side
GROUP BY team, other;

CREATE VIEW callout.player_sum_now AS
SELECT team, number, count(*)::integer AS games, sum(points)::integer AS points,
       sum(made_1)::integer AS made_1, sum(made_3)::integer AS made_3, sum(fouls)::integer AS fouls
FROM (
    SELECT c.home AS team, p.number, p.points, p.made_1, p.made_3, p.fouls
    FROM callout.counting c JOIN callout.player_line p USING (game, version) WHERE p.side = 'home'
    UNION ALL
    SELECT c.guest, p.number, p.points, p.made_1, p.made_3, p.fouls
    FROM callout.counting c JOIN callout.player_line p USING (game, version) WHERE p.side = 'guest'
) AS side
GROUP BY team, number;

CREATE TABLE callout.pair_sum (
    team integer REFERENCES callout.team,
    other integer REFERENCES callout.team,
    won integer NOT NULL,
    lost integer NOT NULL,
    defaulted integer NOT NULL,
    forfeited integer NOT NULL,
    scored integer NOT NULL,
    conceded integer NOT NULL,
    PRIMARY KEY (team, other)
);
COMMENT ON TABLE callout.pair_sum IS 'What a team has from all its games against another.';

CREATE TABLE callout.player_sum (
    team integer REFERENCES callout.team,
    number text,
    games integer NOT NULL,
    points integer NOT NULL,
    made_1 integer NOT NULL,
    made_3 integer NOT NULL,
    fouls integer NOT NULL,
    PRIMARY KEY (team, number)
);

-- No key and no index: two who note the same team never wait for each other.
CREATE TABLE callout.stale (team integer NOT NULL);
COMMENT ON TABLE callout.stale IS 'Teams whose sums are to be made again.';

-- Makes the sums of all stale teams again; returns how many teams that were.
CREATE FUNCTION callout.sum_again() RETURNS integer
LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    teams integer[];
BEGIN
    -- Two who do this at once take turns.
    PERFORM pg_advisory_xact_lock(1668050036);
    WITH gone AS (DELETE FROM callout.stale RETURNING team)
    SELECT array_agg(DISTINCT team) INTO teams FROM gone;
    IF teams IS NULL THEN
        RETURN 0;
    END IF;
    -- What changes from here on is stale anew.
    DELETE FROM callout.pair_sum p WHERE p.team = ANY (teams);
    INSERT INTO callout.pair_sum SELECT * FROM callout.pair_sum_now n WHERE n.team = ANY (teams);
    DELETE FROM callout.player_sum p WHERE p.team = ANY (teams);
    INSERT INTO callout.player_sum SELECT * FROM callout.player_sum_now n WHERE n.team = ANY (teams);
    RETURN cardinality(teams);
END $$;

-- The teams whose sums are not what the results make; they are stale from then on.
CREATE FUNCTION callout.check_sums() RETURNS SETOF integer
LANGUAGE sql SET search_path = pg_catalog, pg_temp AS $$
    INSERT INTO callout.stale
    SELECT team FROM (TABLE callout.pair_sum EXCEPT TABLE callout.pair_sum_now) AS kept
    UNION SELECT team FROM (TABLE callout.pair_sum_now EXCEPT TABLE callout.pair_sum) AS right_one
    UNION SELECT team FROM (TABLE callout.player_sum EXCEPT TABLE callout.player_sum_now) AS kept
    UNION SELECT team FROM (TABLE callout.player_sum_now EXCEPT TABLE callout.player_sum) AS right_one
    RETURNING team
$$;

-- --- what makes a team stale ----------------------------------------------------------------------

CREATE FUNCTION callout.result_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    INSERT INTO callout.stale
    SELECT DISTINCT unnest(ARRAY[f.home, f.guest]) FROM changed c
    JOIN callout.game g ON g.id = c.game
    JOIN callout.fixture f ON f.id = g.fixture;
    RETURN NULL;
END $$;

-- A player's line changes only with its result.
CREATE TRIGGER result_added AFTER INSERT ON callout.result
REFERENCING NEW TABLE AS changed FOR EACH STATEMENT EXECUTE FUNCTION callout.result_changed();
CREATE TRIGGER result_changed AFTER UPDATE ON callout.result
REFERENCING NEW TABLE AS changed FOR EACH STATEMENT EXECUTE FUNCTION callout.result_changed();
CREATE TRIGGER result_gone AFTER DELETE ON callout.result
REFERENCING OLD TABLE AS changed FOR EACH STATEMENT EXECUTE FUNCTION callout.result_changed();

CREATE FUNCTION callout.game_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    INSERT INTO callout.stale
    SELECT unnest(ARRAY[f.home, f.guest]) FROM callout.fixture f
    WHERE f.id IN (OLD.fixture, NEW.fixture);
    RETURN NULL;
END $$;

CREATE TRIGGER game_changed AFTER UPDATE ON callout.game FOR EACH ROW
WHEN ((OLD.fixture, OLD.official, OLD.counts) IS DISTINCT FROM
      (NEW.fixture, NEW.official, NEW.counts))
EXECUTE FUNCTION callout.game_changed();

CREATE FUNCTION callout.fixture_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    INSERT INTO callout.stale SELECT unnest(ARRAY[OLD.home, OLD.guest, NEW.home, NEW.guest]);
    RETURN NULL;
END $$;

CREATE TRIGGER fixture_changed AFTER UPDATE ON callout.fixture FOR EACH ROW
WHEN ((OLD.home, OLD.guest) IS DISTINCT FROM (NEW.home, NEW.guest))
EXECUTE FUNCTION callout.fixture_changed();

-- --- the games that are there already, and who may what -------------------------------------------

INSERT INTO callout.pair_sum SELECT * FROM callout.pair_sum_now;
INSERT INTO callout.player_sum SELECT * FROM callout.player_sum_now;

-- Few books are not in order, and few games go on: each of these finds them alone.
CREATE INDEX result_open ON callout.result (game, version)
    WHERE NOT over OR NOT signed OR problems <> '{}';
CREATE INDEX result_again ON callout.result (game) WHERE version > 1;
CREATE INDEX game_second ON callout.game (fixture) WHERE NOT official;
CREATE INDEX sending_received ON callout.sending (received_at);
CREATE INDEX fixture_season ON callout.fixture (season, starts);
CREATE INDEX fixture_guest ON callout.fixture (guest);

GRANT SELECT ON callout.counting, callout.pair_sum, callout.player_sum
    TO callout_secretary, callout_reader;
GRANT SELECT ON callout.pair_sum_now, callout.player_sum_now TO callout_secretary;
GRANT INSERT, DELETE ON callout.pair_sum, callout.player_sum TO callout_secretary;
GRANT SELECT, INSERT, DELETE ON callout.stale TO callout_secretary;
-- A page for everybody says how many books are not counted yet.
GRANT SELECT (uncounted) ON callout.version TO callout_reader;
