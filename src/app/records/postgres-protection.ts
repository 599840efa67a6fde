import { NOT_WHOLE } from "./postgres-trouble.ts";

/**
 * What the shared database itself refuses, whoever asks: PL/pgSQL, put in place again by each `prepare-database`. Records
 * are only added; a run is taken whole, with its chain recomputed at the commit, or not at all; chains of ledgers only go
 * on; and what one login has sent first, no other login adds to.
 */

/** Same digests as src/app/hash-chain.ts: leaves and nodes are told apart by their first byte (RFC 6962, 2.1). */
const NEXT_HEAD = `
create or replace function stillpoint_next_head(head text, body text) returns text
language sql immutable strict parallel safe as $$
  select encode(sha256('\\x01'::bytea || decode(head, 'hex') || sha256('\\x00'::bytea || convert_to(body, 'UTF8'))), 'hex')
$$`;

const EMPTY_HEAD = "encode(sha256(''::bytea), 'hex')";

const REFUSE = `
create or replace function stillpoint_refuse_change() returns trigger language plpgsql as $$
begin
  raise exception 'records are never changed or removed (% of %)', lower(tg_op), tg_table_name
    using errcode = '42501';
end $$`;

/** Whose is it? The first login that sent something of a bench or of a ledger of certificates owns it from then on. */
const SENDERS = `
create table if not exists senders (
  kind text not null check (kind in ('bench', 'certificates')),
  id text not null,
  login text not null,
  since timestamptz not null default now(),
  primary key (kind, id)
)`;

const CLAIM = `
create or replace function stillpoint_claim() returns trigger
language plpgsql security definer set search_path = public, pg_temp as $$
declare
  claimed_kind text := case tg_table_name when 'certificate_acts' then 'certificates' else 'bench' end;
  claimed_id text := case tg_table_name when 'certificate_acts' then to_jsonb(new) ->> 'certificates_id'
                                        else to_jsonb(new) ->> 'bench_id' end;
  owner_login text;
begin
  select login into owner_login from senders where kind = claimed_kind and id = claimed_id;
  if owner_login is null then
    insert into senders (kind, id, login) values (claimed_kind, claimed_id, session_user) on conflict do nothing;
    select login into owner_login from senders where kind = claimed_kind and id = claimed_id;
  end if;
  if owner_login <> session_user then
    raise exception '% % belongs to another login than %', claimed_kind, claimed_id, session_user using errcode = '42501';
  end if;
  return new;
end $$`;

/** Events and references come in one transaction with the run they belong to, and never later. */
const WITH_RUN = `
create or replace function stillpoint_with_run() returns trigger language plpgsql as $$
begin
  if not exists (select from runs where run_id = new.run_id and xmin = pg_current_xact_id()::xid) then
    raise exception 'run % is not being sent: % are kept only together with their run', new.run_id, tg_table_name
      using errcode = '42501';
  end if;
  return new;
end $$`;

/** A signature may come later, by the login that sent the run or the ledger. */
const OF_OWN_RUN = `
create or replace function stillpoint_of_own_run() returns trigger
language plpgsql security definer set search_path = public, pg_temp as $$
begin
  if not exists (
    select from senders where kind = 'bench' and login = session_user
      and (new.run_id = 'ledger:' || id
           or id = (select bench_id from runs where run_id = new.run_id))
  ) then
    raise exception '% is not of login %', new.run_id, session_user using errcode = '42501';
  end if;
  return new;
end $$`;

/** The first thing wrong with the chain of a run, or null: the receiver's own check, also to be called by a reader. */
const CHECK_RUN = `
create or replace function stillpoint_check_run(checked text) returns text language plpgsql stable as $$
declare
  wanted record;
  event record;
  head text := ${EMPTY_HEAD};
  expected integer := null;
  counted integer := 0;
begin
  select r.events, r.head into wanted from runs r where r.run_id = checked;
  if not found then return 'there is no run ' || checked; end if;
  for event in select e.seq, e.body, e.hash from events e where e.run_id = checked order by e.seq loop
    if expected is not null and event.seq <> expected then
      return format('event %s is missing', expected);
    end if;
    head := stillpoint_next_head(head, event.body);
    if head <> event.hash then return format('event %s does not fit its digest', event.seq); end if;
    expected := event.seq + 1;
    counted := counted + 1;
  end loop;
  if counted <> wanted.events then return format('%s of %s events are there', counted, wanted.events); end if;
  if head <> wanted.head then return 'the events do not end in the head of the run'; end if;
  return null;
end $$`;

const WHOLE_RUN = `
create or replace function stillpoint_whole_run() returns trigger language plpgsql as $$
declare
  wrong text := stillpoint_check_run(new.run_id);
begin
  if wrong is not null then
    raise exception 'run %: %', new.run_id, wrong using errcode = '${NOT_WHOLE}';
  end if;
  return null;
end $$`;

/** An entry continues the entry before it; the first of a chain, number 0 or 1, continues nothing. */
const CONTINUES = `
create or replace function stillpoint_continues() returns trigger language plpgsql as $$
declare
  id_column text := case tg_table_name when 'certificate_acts' then 'certificates_id' else 'bench_id' end;
  chain text := to_jsonb(new) ->> id_column;
  last record;
begin
  execute format('select seq, hash from %I where %I = $1 and seq < $2 order by seq desc limit 1', tg_table_name, id_column)
    into last using chain, new.seq;
  if last.seq is null then
    if new.seq <= 1 then last.seq := new.seq - 1; end if;
    last.hash := ${EMPTY_HEAD};
  end if;
  if last.seq is distinct from new.seq - 1 or stillpoint_next_head(last.hash, new.body) <> new.hash then
    raise exception '% %: entry % does not continue the entries before it', tg_table_name, chain, new.seq
      using errcode = '${NOT_WHOLE}';
  end if;
  return new;
end $$`;

/** Tables of records, in the order in which a run is sent. */
export const RECORD_TABLES = [
  "runs",
  "events",
  "references_used",
  "signatures",
  "bench_ledger",
  "certificate_acts",
] as const;

const trigger = (name: string, when: string, table: string, run: string, each = "for each row"): readonly string[] => [
  `drop trigger if exists ${name} on ${table}`,
  `create trigger ${name} ${when} on ${table} ${each} execute function ${run}()`,
];

/** All of it, one statement an entry, to be run by the owner in one transaction. */
export const PROTECTION: readonly string[] = [
  NEXT_HEAD,
  REFUSE,
  SENDERS,
  CLAIM,
  WITH_RUN,
  OF_OWN_RUN,
  CHECK_RUN,
  WHOLE_RUN,
  CONTINUES,
  ...[...RECORD_TABLES, "senders"].flatMap((table) =>
    trigger(
      "never_changed",
      "before update or delete or truncate",
      table,
      "stillpoint_refuse_change",
      "for each statement",
    ),
  ),
  ...["runs", "bench_ledger", "certificate_acts"].flatMap((table) =>
    trigger("claimed", "before insert", table, "stillpoint_claim"),
  ),
  ...["events", "references_used"].flatMap((table) =>
    trigger("with_run", "before insert", table, "stillpoint_with_run"),
  ),
  ...trigger("of_own_run", "before insert", "signatures", "stillpoint_of_own_run"),
  ...["bench_ledger", "certificate_acts"].flatMap((table) =>
    trigger("continues", "before insert", table, "stillpoint_continues"),
  ),
  "drop trigger if exists whole_run on runs",
  `create constraint trigger whole_run after insert on runs deferrable initially deferred
   for each row execute function stillpoint_whole_run()`,
];
