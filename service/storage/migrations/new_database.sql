CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL,
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
CREATE TABLE kits (
	id VARCHAR(36) NOT NULL,
	created_us BIGINT NOT NULL,
	title VARCHAR(200) NOT NULL,
	version VARCHAR(40) NOT NULL,
	recut_of VARCHAR(36),
	answer BLOB NOT NULL,
	sha256 VARCHAR(64) NOT NULL, number VARCHAR(12) DEFAULT '' NOT NULL, reference VARCHAR(60) DEFAULT '' NOT NULL, date VARCHAR(10) DEFAULT '' NOT NULL, title_folded VARCHAR(600) DEFAULT '' NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE kit_files (
	kit_id VARCHAR(36) NOT NULL,
	name VARCHAR(120) NOT NULL,
	media_type VARCHAR(120) NOT NULL,
	bytes INTEGER NOT NULL,
	sha256 VARCHAR(64) NOT NULL,
	PRIMARY KEY (kit_id, name)
);
CREATE TABLE cutters (
	name VARCHAR(64) NOT NULL,
	version INTEGER NOT NULL,
	updated_us BIGINT NOT NULL,
	body BLOB NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL,
	PRIMARY KEY (name)
);
CREATE TABLE keys (
	id VARCHAR(12) NOT NULL,
	name VARCHAR(120) NOT NULL,
	scope VARCHAR(10) NOT NULL,
	created_us BIGINT NOT NULL,
	revoked_us BIGINT,
	sha256 VARCHAR(64) NOT NULL, expires_us BIGINT, last_used_us BIGINT, old_until_us BIGINT, old_sha256 VARCHAR(64),
	PRIMARY KEY (id)
);
CREATE TABLE claims (
	"key" VARCHAR(64) NOT NULL,
	token VARCHAR(32) NOT NULL,
	fingerprint VARCHAR(64) NOT NULL,
	claimed_us BIGINT NOT NULL,
	kit_id VARCHAR(36),
	PRIMARY KEY ("key")
);
CREATE TABLE jobs (
	id VARCHAR(36) NOT NULL,
	kind VARCHAR(10) NOT NULL,
	state VARCHAR(10) NOT NULL,
	created_us BIGINT NOT NULL,
	started_us BIGINT,
	ended_us BIGINT,
	lease_us BIGINT NOT NULL,
	attempts INTEGER NOT NULL,
	spared INTEGER NOT NULL,
	deliveries INTEGER NOT NULL,
	cancel BOOLEAN NOT NULL,
	progress FLOAT NOT NULL,
	phase VARCHAR(200) NOT NULL,
	version INTEGER NOT NULL,
	kit_id VARCHAR(36),
	title VARCHAR(200) NOT NULL,
	request BLOB,
	request_id VARCHAR(64) NOT NULL,
	problem BLOB,
	batch_id VARCHAR(36),
	number INTEGER,
	finish INTEGER, callback BLOB, host VARCHAR(262) DEFAULT '' NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL, traceparent VARCHAR(55) DEFAULT '' NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE batches (
	id VARCHAR(36) NOT NULL,
	created_us BIGINT NOT NULL,
	title VARCHAR(200) NOT NULL,
	total INTEGER NOT NULL,
	finished INTEGER NOT NULL,
	cancel BOOLEAN NOT NULL,
	source BLOB NOT NULL,
	request_id VARCHAR(64) NOT NULL,
	serial INTEGER NOT NULL,
	lease_us BIGINT NOT NULL, reference VARCHAR(60) DEFAULT '' NOT NULL, callback BLOB, number VARCHAR(12) DEFAULT '' NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE store (
	number INTEGER NOT NULL,
	id VARCHAR(36) NOT NULL,
	moved_us BIGINT,
	PRIMARY KEY (number)
);
CREATE TABLE deletions (
	kit_id VARCHAR(36) NOT NULL,
	PRIMARY KEY (kit_id)
);
CREATE TABLE orders (
	id VARCHAR(36) NOT NULL,
	key_id VARCHAR(12) NOT NULL,
	jobs INTEGER NOT NULL,
	effort_s FLOAT NOT NULL,
	PRIMARY KEY (id)
);
CREATE TABLE schema_version (
	version INTEGER NOT NULL
);
CREATE TABLE kit_terms (
	kit_id VARCHAR(36) NOT NULL,
	term VARCHAR(10) NOT NULL,
	value VARCHAR(64) NOT NULL, created_us BIGINT DEFAULT '0' NOT NULL,
	PRIMARY KEY (kit_id, term, value)
);
CREATE TABLE price_lists (
	name VARCHAR(64) NOT NULL,
	version INTEGER NOT NULL,
	updated_us BIGINT NOT NULL,
	body BLOB NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL,
	PRIMARY KEY (name)
);
CREATE TABLE pins (
	kit_id VARCHAR(36) NOT NULL,
	pinned_us BIGINT NOT NULL,
	PRIMARY KEY (kit_id)
);
CREATE TABLE blocks (
	name VARCHAR(64) NOT NULL,
	version INTEGER NOT NULL,
	updated_us BIGINT NOT NULL,
	body BLOB NOT NULL, key_id VARCHAR(12) DEFAULT '' NOT NULL,
	PRIMARY KEY (name)
);
CREATE TABLE job_seconds (
	kind VARCHAR(10) NOT NULL,
	phase VARCHAR(20) NOT NULL,
	bucket INTEGER NOT NULL,
	count BIGINT NOT NULL,
	seconds FLOAT NOT NULL,
	PRIMARY KEY (kind, phase, bucket)
);
CREATE TABLE job_ends (
	kind VARCHAR(10) NOT NULL,
	state VARCHAR(10) NOT NULL,
	jobs BIGINT NOT NULL,
	attempts BIGINT NOT NULL,
	PRIMARY KEY (kind, state)
);
CREATE INDEX jobs_by_lease ON jobs (state, lease_us);
CREATE INDEX jobs_of_batch ON jobs (batch_id, state, number);
CREATE INDEX jobs_as_they_end ON jobs (batch_id, finish);
CREATE INDEX batches_newest_first ON batches (created_us, id);
CREATE INDEX batches_by_reference ON batches (reference);
CREATE INDEX kits_by_number ON kits (number);
CREATE INDEX kits_by_reference ON kits (reference);
CREATE INDEX kit_terms_by_value ON kit_terms (term, value, created_us, kit_id);
CREATE INDEX kits_newest_first ON kits (created_us, id, title_folded);
CREATE INDEX kits_by_date ON kits (date, created_us, id);
CREATE INDEX kit_archives ON kit_files (name, bytes) WHERE name = '';
CREATE INDEX jobs_newest_first ON jobs (batch_id, created_us, id);
CREATE INDEX jobs_by_end ON jobs (batch_id, ended_us);
CREATE INDEX claims_by_time ON claims (claimed_us);
CREATE INDEX jobs_callbacks ON jobs (state, lease_us) WHERE kind = 'callback';
CREATE INDEX batches_by_number ON batches (number);
CREATE INDEX kits_of_key ON kits (key_id, created_us, id, title_folded);
CREATE INDEX jobs_of_key ON jobs (key_id, batch_id, created_us, id);
CREATE INDEX batches_of_key ON batches (key_id, created_us, id);
INSERT INTO alembic_version VALUES ('0009');
INSERT INTO schema_version VALUES (7);
