"""Invoices that stood in the ledger alone, before they were rows: they get their rows, with seals that hold."""

from __future__ import annotations

from decimal import Decimal

from alembic import command

from steadyrest.store import customers, database, folds, invoices, jobs, ledger, payments, schema
from steadyrest.store.damage import verify
from steadyrest.store.opening import DATABASE, FILES, alembic_config, open_store
from steadyrest.store.seals import seal
from tests.store.sample import NOW, later


def test_an_invoice_of_before_becomes_a_row_once_and_can_be_paid(tmp_path, monkeypatch):
    (tmp_path / FILES).mkdir()
    engine = database.connect_to(tmp_path / DATABASE)
    monkeypatch.setattr(folds, "note", lambda _session, _table, _row: None)  # a later table's
    with database.writing(engine).begin() as session:
        config = alembic_config()
        config.attributes["connection"] = session
        command.upgrade(config, "0003")
        job = jobs.open_job(session, customer="the mill", what="gear", due=later(days=1), charging="hours", now=NOW)
        sha256 = "0" * 64
        kept = {"sha256": sha256, "size_bytes": 1, "name": "invoice-1.pdf", "kind": "paper", "kept_at": NOW}
        session.execute(schema.file.insert().values(**kept))
        seal(session, schema.file, sha256)
        body = {"number": 1, "total": "120.50", "currency": "EUR", "sha256": sha256}
        ledger.write_down(session, job_id=job.id, kind="invoiced", who="ambra", happened=NOW, told=NOW, body=body)
    engine.dispose()
    monkeypatch.undo()
    store = open_store(tmp_path)
    with store.writing() as session:
        (one,) = invoices.all_invoices(session)
        mill = customers.by_name(session, "the mill")
        assert (one.number, one.job, one.total, one.customer_id) == (1, job.number, Decimal("120.50"), mill.id)
        assert (one.content.total, (one.due - one.issued).days, invoices.next_number(session)) == (one.total, 14, 2)
        paid = payments.Payment(mill.id, "received", one.issued, one.total, "EUR", "ambra", NOW, invoice=1)
        payments.keep(session, paid)
    store.close()
    damage = [each for each in verify(tmp_path) if sha256[:12] not in each.where and sha256 not in each.where]
    assert damage == []  # but for the paper, which this test did not write
