BEGIN TRANSACTION;
CREATE TABLE actions (
	id BIGINT NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	facts TEXT NOT NULL, 
	station VARCHAR(200) NOT NULL, 
	role VARCHAR(200) NOT NULL, 
	moment BIGINT NOT NULL, 
	changes TEXT NOT NULL, 
	undoes BIGINT, 
	redoes BIGINT, 
	standing VARCHAR(8) NOT NULL, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_actions PRIMARY KEY (id), 
	CONSTRAINT ck_actions_standing CHECK (standing IN ('stands', 'undone', 'buried', 'fixed')), 
	CONSTRAINT fk_actions_undoes_actions FOREIGN KEY(undoes) REFERENCES actions (id), 
	CONSTRAINT fk_actions_redoes_actions FOREIGN KEY(redoes) REFERENCES actions (id)
);
INSERT INTO "actions" VALUES(1,'change','{}','desk','',1772438400,'[{"after":{"title":"Menu for the harbour feast"},"before":null,"key":["1047"],"stands":1,"stood":null,"table":"jobs","version":1,"version_before":0}]',NULL,NULL,'stands','9403297ea8a70c34b688a5fc851a315ab40e7504d622713c37b8deb5d1917c2e');
INSERT INTO "actions" VALUES(2,'change','{}','desk','',1772438400,'[{"after":{"title":"Menu"},"before":{"title":"Menu for the harbour feast"},"key":["1047"],"stands":2,"stood":1,"table":"jobs","version":2,"version_before":1}]',NULL,NULL,'undone','4b5cfb1def202b4edd7335fcbaaecc244f8c1145fad26b6544b515306cecc0c8');
INSERT INTO "actions" VALUES(3,'change','{}','desk','',1772438400,'[{"after":{"title":"Menu for the harbour feast"},"before":{"title":"Menu"},"key":["1047"],"stands":1,"stood":2,"table":"jobs","version":3,"version_before":2}]',2,NULL,'fixed','0a7e7e50696f7472b3ed73cfc0b4916fcd14657dfb2c1dabd0355b73ebd24ab1');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE days (
	press VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	body TEXT, 
	version BIGINT NOT NULL, 
	written_by BIGINT, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_days PRIMARY KEY (press, day), 
	CONSTRAINT fk_days_written_by_actions FOREIGN KEY(written_by) REFERENCES actions (id)
);
CREATE TABLE events (
	seq BIGINT NOT NULL, 
	own_id VARCHAR(36) NOT NULL, 
	press VARCHAR(200) NOT NULL, 
	moment BIGINT NOT NULL, 
	received BIGINT NOT NULL, 
	kind VARCHAR(200) NOT NULL, 
	body TEXT NOT NULL, 
	station VARCHAR(200) NOT NULL, 
	checksum VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_events PRIMARY KEY (seq), 
	CONSTRAINT uq_events_own_id UNIQUE (own_id)
);
INSERT INTO "events" VALUES(1,'00000000-0000-0000-0000-000000000001','small',1772438460,1772438400,'sheets','{"count":1}','press side','195e221d0b4b494d25e20542d01c8a3ce7f0f056385a21945074ab6c29b7ba1b');
INSERT INTO "events" VALUES(2,'00000000-0000-0000-0000-000000000002','small',1772438520,1772438400,'sheets','{"count":2}','press side','b1a59e34d8bc634260a3cd5de0de313605a90e51f175b8ce8d6812a4692d7b42');
CREATE TABLE jobs (
	"key" VARCHAR(200) NOT NULL, 
	body TEXT, 
	version BIGINT NOT NULL, 
	written_by BIGINT, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_jobs PRIMARY KEY ("key"), 
	CONSTRAINT fk_jobs_written_by_actions FOREIGN KEY(written_by) REFERENCES actions (id)
);
INSERT INTO "jobs" VALUES('1047','{"title":"Menu for the harbour feast"}',3,1,'27b644c909d275548dc8d4601510207720eb37c2651de15a6e3f4a4668ce1d20');
CREATE TABLE learned (
	"key" VARCHAR(200) NOT NULL, 
	version BIGINT NOT NULL, 
	body TEXT, 
	written_by BIGINT, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_learned PRIMARY KEY ("key", version), 
	CONSTRAINT fk_learned_written_by_actions FOREIGN KEY(written_by) REFERENCES actions (id)
);
CREATE TABLE list_items (
	kind VARCHAR(200) NOT NULL, 
	"key" VARCHAR(200) NOT NULL, 
	body TEXT, 
	version BIGINT NOT NULL, 
	written_by BIGINT, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_list_items PRIMARY KEY (kind, "key"), 
	CONSTRAINT fk_list_items_written_by_actions FOREIGN KEY(written_by) REFERENCES actions (id)
);
CREATE TABLE meta (
	name VARCHAR(200) NOT NULL, 
	value TEXT NOT NULL, 
	CONSTRAINT pk_meta PRIMARY KEY (name)
);
INSERT INTO "meta" VALUES('record_id','5f0d4c1e-3b0a-4b5e-9a55-0d6a3e8c2b11');
INSERT INTO "meta" VALUES('program','0.1.0');
INSERT INTO "meta" VALUES('events_end','[2,"b1a59e34d8bc634260a3cd5de0de313605a90e51f175b8ce8d6812a4692d7b42"]');
INSERT INTO "meta" VALUES('lock','');
CREATE TABLE orders (
	press VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	body TEXT, 
	version BIGINT NOT NULL, 
	written_by BIGINT, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_orders PRIMARY KEY (press, day, name), 
	CONSTRAINT fk_orders_written_by_actions FOREIGN KEY(written_by) REFERENCES actions (id)
);
CREATE TABLE releases (
	press VARCHAR(200) NOT NULL, 
	day VARCHAR(10) NOT NULL, 
	number BIGINT NOT NULL, 
	name VARCHAR(200) NOT NULL, 
	body TEXT NOT NULL, 
	moment BIGINT NOT NULL, 
	released_by VARCHAR(200) NOT NULL, 
	action BIGINT NOT NULL, 
	seal VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_releases PRIMARY KEY (press, day, number), 
	CONSTRAINT fk_releases_action_actions FOREIGN KEY(action) REFERENCES actions (id)
);
CREATE INDEX ix_events_press_seq ON events (press, seq);
CREATE INDEX ix_actions_station_standing_id ON actions (station, standing, id);
COMMIT;
