"""Ask one question with a client that another program made from openapi/openapi.json.

    python one_call.py BASE_URL CLIENT_DIR

CLIENT_DIR is what `openapi-python-client generate --output-path CLIENT_DIR --meta none` wrote.
"""

import importlib
import sys
from pathlib import Path


def generated(client_dir):
    """The generated package; its name is the name of its folder."""
    folder = Path(client_dir).resolve()
    sys.path.insert(0, str(folder.parent))
    return folder.name


def ask(base_url, package):
    """The reply to: how far is ethanol below its flash point at 21 Cel?"""
    client = importlib.import_module(f"{package}.client").Client(base_url=base_url, raise_on_unexpected_status=True)
    models = importlib.import_module(f"{package}.models")
    operation = importlib.import_module(f"{package}.api.questions.post_flash_point_margin")
    request = models.FlashPointMargin(liquid="ethanol", room_temperature="21 Cel")
    with client:
        reply = operation.sync(client=client, body=request)
    if not isinstance(reply, models.FlashPointMarginReply):
        sys.exit(f"one_call: no answer but {reply}")
    return reply


def check(reply):
    """Wide bounds on purpose: they find a wrong field, unit or sign; tests/reference looks at the figure itself."""
    flash_point, margin = reply.flash_point, reply.margin
    if flash_point.unit != "Cel" or not 5 < flash_point.value < 15:
        sys.exit(f"one_call: the flash point is {flash_point.value} {flash_point.unit}")
    if margin.unit != "K" or not margin.value < 0:
        sys.exit(f"one_call: the margin is {margin.value} {margin.unit}")


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    base_url, client_dir = sys.argv[1:]
    reply = ask(base_url, generated(client_dir))
    print(reply.sentence)
    check(reply)


if __name__ == "__main__":
    main()
