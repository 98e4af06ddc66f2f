"""The main job through the generated Python client: enter the books, check, quote, issue, accept, pull.

    python main_job.py http://127.0.0.1:PORT KEY REPOSITORY

The client stands beside as `offtake_client`, made by openapi-python-client. Demo data of the repository
are entered; every answer is one of the client's own types.
"""
import csv
import decimal
import json
import pathlib
import sys

from offtake_client import AuthenticatedClient
from offtake_client.api.accounting import list_quote_totals
from offtake_client.api.estimates import (
    create_estimate,
    create_labour_model,
    create_price_list,
    publish_labour_model,
    publish_price_list,
    replace_price_items,
    replace_times,
)
from offtake_client.api.manifolds import check_manifolds
from offtake_client.api.quotes import accept_quote, create_quote, issue_quote
from offtake_client.api.shop import put_shop
from offtake_client import models

base, key, repository = sys.argv[1:4]
data = pathlib.Path(repository) / "src/demo/data"
client = AuthenticatedClient(base_url=base, token=key)


def good(answer, kind):
    assert isinstance(answer.parsed, kind), (answer.status_code, answer.content[:2000])
    return answer.parsed


def rows(name):
    with open(data / name, newline="", encoding="utf-8") as sheet:
        return [{k: v for k, v in row.items() if v} for row in csv.DictReader(sheet)]


settings = models.ShopSettings.from_dict(json.loads((data / "shop.json").read_text()))
good(put_shop.sync_detailed(client=client, body=settings), models.ShopSettings)

head = models.PriceListIn.from_dict({"name": "P", "supplier": "S", "currency": "USD", "effective_on": "2020-01-01"})
made = good(create_price_list.sync_detailed(client=client, body=head), models.PriceListOut)
plain = [{k: v for k, v in row.items() if k != "breaks"} for row in rows("prices.csv")]
items = models.PriceItemsIn.from_dict({"items": plain})
good(replace_price_items.sync_detailed(made.id, client=client, body=items, if_match="*"), models.PriceListOut)
published = good(publish_price_list.sync_detailed(made.id, client=client), models.PriceListOut)
assert published.state == "published", published

head = models.LabourModelIn.from_dict({"name": "T", "effective_on": "2020-01-01"})
made = good(create_labour_model.sync_detailed(client=client, body=head), models.LabourModelOut)
known = {"operation", "setup_minutes", "minutes_each", "minutes_per_driver", "low", "high", "source"}
times = [{k: v for k, v in row.items() if k in known} for row in rows("labour.csv")]
times = models.OperationTimesIn.from_dict({"times": times})
good(replace_times.sync_detailed(made.id, client=client, body=times, if_match="*"), models.LabourModelOut)
good(publish_labour_model.sync_detailed(made.id, client=client), models.LabourModelOut)

schedule = json.loads((data / "schedule.json").read_text())[:2]
request = models.ManifoldsIn.from_dict({"manifolds": schedule})
checked = good(check_manifolds.sync_detailed(client=client, body=request), models.CheckAnswer)
assert checked.summary.ok == len(schedule), checked

request = models.EstimateIn.from_dict({"manifolds": schedule})
estimate = good(create_estimate.sync_detailed(client=client, body=request), models.EstimateOut)
total = sum(decimal.Decimal(line.amount.amount) for line in estimate.lines)
assert total == decimal.Decimal(estimate.net.amount), (total, estimate.net)

request = models.QuoteIn.from_dict({"customer": {"name": "Ø \"Sørensen\" & Sons"}, "project": "Stair 3", "manifolds": schedule})
quote = good(create_quote.sync_detailed(client=client, body=request), models.QuoteOut)
assert quote.net.amount == estimate.net.amount, (quote.net, estimate.net)
issued = good(issue_quote.sync_detailed(quote.number, client=client), models.QuoteOut)
assert issued.state == "issued", issued.state
word = models.AcceptIn.from_dict({"name": "R. Ashdown", "po_number": "PO-1"})
accepted = good(accept_quote.sync_detailed(quote.number, client=client, body=word), models.QuoteOut)
assert accepted.state == "accepted", accepted.state

totals = good(list_quote_totals.sync_detailed(client=client), models.QuoteTotals)
mine = [line for line in totals.items if line.number == quote.number]
assert mine[-1].gross == quote.gross.amount and mine[-1].po_number == "PO-1", mine

# A refusal is a problem with every fault.
wrong = models.EstimateIn.from_dict({"manifolds": [dict(schedule[0], conditions=["on a ladder"])]})
refused = create_estimate.sync_detailed(client=client, body=wrong)
assert isinstance(refused.parsed, models.Problem) and refused.parsed.errors[0].code == "unknown_condition"
print(f"python client: quote {quote.number} accepted, gross {quote.gross.amount} {quote.gross.currency}")
