"""What a tablet must have for the application, and the steps that give it to each kind of tablet."""

from __future__ import annotations

from collections.abc import Mapping

from looseends.language import Text, say

NEEDS: Mapping[str, Text] = {
    "trusted": say("The connection is trusted"),
    "worker": say("Pages work with the network gone"),
    "storage": say("Records wait on the device until they are sent"),
    "camera": say("The camera takes photos"),
}

STEPS: Mapping[str, tuple[Text, ...]] = {
    "iPadOS": (
        say("Fetch the certificate in Safari and allow the profile."),
        say("Settings, General, VPN and Device Management: install the profile."),
        say("Settings, General, About, Certificate Trust Settings: switch it on for this certificate."),
    ),
    "Android": (
        say("Fetch the certificate."),
        say("Settings, Security, Encryption and credentials, Install a certificate, CA certificate: choose the file."),
    ),
    "Windows": (
        say("Fetch the certificate and open it."),
        say("Install it for this user, in the store of trusted root authorities."),
    ),
}
"""From memory: names of settings differ between versions."""
