-- The access log of one platform and its newest review sheet, without a walk through all of them.
CREATE INDEX access_log_source ON access_log (source, seq);
CREATE INDEX sheets_newest ON sheets (source, made_at);
