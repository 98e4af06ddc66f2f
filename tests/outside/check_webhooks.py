#!/usr/bin/env python3
"""Has the Standard Webhooks reference library (PyPI) verify notices, and kills the server on the way.

usage: check_webhooks.py PROGRAM DATABASE_URL      (a database with the demo's shop)

A quote is issued while nobody listens, and the server is killed with SIGKILL at once. Started
again, it must deliver the notice; the library must take it with the old and with the new secret
while they overlap, and must refuse it changed or with another secret.
"""

import http.server
import json
import queue
import signal
import socket
import subprocess
import sys
import threading
import urllib.request

from standardwebhooks.webhooks import Webhook, WebhookVerificationError

program, database = sys.argv[1:3]
key = subprocess.run(
    [program, "keys", "create", "--scope", "admin", "--label", "hooks", "--database", database],
    check=True, capture_output=True, text=True).stdout.strip()


def serve():
    server = subprocess.Popen(
        [program, "serve", "--listen", "127.0.0.1:0", "--database", database, "--log", "warn", "--private-webhooks"],
        stdout=subprocess.PIPE, text=True)
    return server, server.stdout.readline().strip().removeprefix("listening on ")


def call(base, method, path, body=None):
    request = urllib.request.Request(
        base + path, method=method, data=None if body is None else json.dumps(body).encode(),
        headers={"authorization": f"Bearer {key}", "content-type": "application/json"})
    with urllib.request.urlopen(request, timeout=60) as answer:
        text = answer.read()
    return json.loads(text) if text else None


got = queue.Queue()


class Receiver(http.server.BaseHTTPRequestHandler):
    def do_POST(self):
        body = self.rfile.read(int(self.headers["content-length"])).decode()
        got.put((dict(self.headers), body))
        self.send_response(204)
        self.end_headers()

    def log_message(self, *_):
        pass


def verify(secret, headers, body):
    return Webhook(secret).verify(body, headers)


def refused(secret, headers, body):
    try:
        verify(secret, headers, body)
    except WebhookVerificationError:
        return True
    return False


with socket.socket() as probe:
    probe.bind(("127.0.0.1", 0))
    port = probe.getsockname()[1]
server, base = serve()
made = call(base, "POST", "/v1/webhooks", {"url": f"http://127.0.0.1:{port}/in", "events": ["quote.issued"]})
hook = made["webhook"]["id"]
manifold = {
    "mark": "H-1", "service": "hydronic_heating", "design_pressure": "75 psi", "design_temperature": "180 degF",
    "build": "formed_outlets", "run": {"tube": "b88-l-2", "ends": [{"kind": "cap"}, {"kind": "plain", "beyond": "4 in"}]},
    "outlets": [{"tube": "b88-l-1", "count": 4, "first": "4 in", "pitch": "5 in", "stub": "3 in"}]}
quote = call(base, "POST", "/v1/quotes", {"customer": {"name": "Ø & Sons"}, "project": "P", "manifolds": [manifold]})
call(base, "POST", f"/v1/quotes/{quote['number']}/issue", {})
server.send_signal(signal.SIGKILL)
server.wait()
assert got.empty()

listener = http.server.HTTPServer(("127.0.0.1", port), Receiver)
threading.Thread(target=listener.serve_forever, daemon=True).start()
server, base = serve()
try:
    # A delivery that was being carried when the server was killed is due again after a minute.
    headers, body = got.get(timeout=120)
    told = verify(made["secret"], headers, body)
    assert told["type"] == "quote.issued" and told["data"]["number"] == quote["number"], told
    assert told["data"]["customer"] == "Ø & Sons"
    assert refused(made["secret"], headers, body.replace("quote.issued", "quote.accepted"))
    assert refused("whsec_" + "A" * 32, headers, body)
    assert refused(made["secret"], {**headers, "webhook-timestamp": "1"}, body)
    turned = call(base, "POST", f"/v1/webhooks/{hook}/rotate", {"overlap_hours": 1})
    log = call(base, "GET", f"/v1/webhooks/{hook}/deliveries")
    call(base, "POST", f"/v1/webhooks/{hook}/deliveries/{log['items'][0]['id']}/replay")
    again, same = got.get(timeout=60)
    assert same == body and again["webhook-id"] == headers["webhook-id"]
    verify(made["secret"], again, same)
    verify(turned["secret"], again, same)
    # No notice comes that was not sent for.
    assert got.empty()
finally:
    server.terminate()
    server.wait()
print(f"webhooks: {told['type']} of {quote['number']} outlived a kill, verified with both secrets")
