"""Haulm: an order and availability ledger for a small cut-flower grower."""
