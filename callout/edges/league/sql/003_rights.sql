-- Who may do what. A table's role adds to its own games alone, and may not even write that a game is
-- another's: the sender is who has logged in.

GRANT SELECT ON callout.migration, callout.league, callout.season, callout.team, callout.fixture
    TO callout_table, callout_secretary, callout_reader;
GRANT INSERT, UPDATE ON callout.league, callout.season, callout.team, callout.fixture
    TO callout_secretary;
REVOKE UPDATE ON callout.season FROM callout_secretary;
GRANT UPDATE (name, profile) ON callout.season TO callout_secretary;

GRANT INSERT (id) ON callout.game TO callout_table;
GRANT INSERT (game, version, header, start) ON callout.version TO callout_table;
GRANT INSERT (game, version, number, call, fields, source, left_tenths, wall_ms, events, former,
              hash) ON callout.entry TO callout_table;
GRANT INSERT ON callout.person TO callout_table;
GRANT INSERT (game, version, entries, clock_off_s, program) ON callout.sending TO callout_table;
GRANT SELECT ON callout.game, callout.version, callout.entry, callout.person, callout.sending
    TO callout_table, callout_secretary;
GRANT UPDATE (season, fixture, counts, sender) ON callout.game TO callout_secretary;
GRANT UPDATE (uncounted) ON callout.version TO callout_secretary;
GRANT SELECT, INSERT, UPDATE, DELETE ON callout.result, callout.player_line, callout.offence
    TO callout_secretary;

-- Results without names, for anybody who may look.
GRANT SELECT ON callout.game, callout.result, callout.player_line, callout.offence
    TO callout_reader;
GRANT SELECT (game, version, received_at, closed_entry, closed_at) ON callout.version
    TO callout_reader;
GRANT SELECT (game, version, received_at) ON callout.sending TO callout_reader;

ALTER TABLE callout.game ENABLE ROW LEVEL SECURITY;
ALTER TABLE callout.version ENABLE ROW LEVEL SECURITY;
ALTER TABLE callout.entry ENABLE ROW LEVEL SECURITY;
ALTER TABLE callout.person ENABLE ROW LEVEL SECURITY;
ALTER TABLE callout.sending ENABLE ROW LEVEL SECURITY;

CREATE POLICY own ON callout.game TO callout_table
    USING (sender = session_user) WITH CHECK (sender = session_user);
CREATE POLICY own ON callout.version TO callout_table USING (EXISTS (
    SELECT FROM callout.game g WHERE g.id = game AND g.sender = session_user));
CREATE POLICY own ON callout.entry TO callout_table USING (EXISTS (
    SELECT FROM callout.game g WHERE g.id = game AND g.sender = session_user));
CREATE POLICY own ON callout.person TO callout_table USING (EXISTS (
    SELECT FROM callout.game g WHERE g.id = game AND g.sender = session_user));
CREATE POLICY own ON callout.sending TO callout_table USING (EXISTS (
    SELECT FROM callout.game g WHERE g.id = game AND g.sender = session_user));

CREATE POLICY reads_all ON callout.game FOR SELECT TO callout_secretary, callout_reader USING (true);
CREATE POLICY places ON callout.game FOR UPDATE TO callout_secretary USING (true);
CREATE POLICY reads_all ON callout.version FOR SELECT TO callout_secretary, callout_reader
    USING (true);
CREATE POLICY counts ON callout.version FOR UPDATE TO callout_secretary USING (true);
CREATE POLICY reads_all ON callout.entry FOR SELECT TO callout_secretary USING (true);
CREATE POLICY reads_all ON callout.person FOR SELECT TO callout_secretary USING (true);
CREATE POLICY reads_all ON callout.sending FOR SELECT TO callout_secretary, callout_reader
    USING (true);
