"""A headless LibreOffice to drive: Debian's libreoffice-calc-nogui and python3-uno; run it with /usr/bin/python3."""
import pathlib
import subprocess
import time

import uno
from com.sun.star.beans import PropertyValue

PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{}</value></prop></item>
</oor:items>"""


def setting(name, value):
    return PropertyValue(name, 0, value, 0)


def desktop(profile, locale):
    """A headless office of its own, its desktop and its context."""
    user = pathlib.Path(profile) / "user"
    user.mkdir(parents=True, exist_ok=True)
    (user / "registrymodifications.xcu").write_text(PROFILE.format(locale))
    pipe = f"macro{time.time_ns()}"
    office = subprocess.Popen(
        ["soffice", f"-env:UserInstallation=file://{profile}", "--headless", "--norestore",
         f"--accept=pipe,name={pipe};urp;"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            there = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
            return office, there, context
        except Exception:
            time.sleep(0.25)
    raise SystemExit("LibreOffice did not come up")
