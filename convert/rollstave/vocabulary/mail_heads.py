"""What the lines in the head of a mail are called, in the languages of those who type tab.

Header fields of mail and news (RFC 5322 and 5536) in English, and what mail programs show in their
place in other languages; from memory.
"""

from __future__ import annotations

FIELDS = (
    *("From", "To", "Re", "Cc", "Bcc", "Subject", "Date", "Sent", "Reply-To", "Message-ID"),
    *("Message-Id", "Newsgroups", "Sender", "Lines", "Organisation", "Organization"),
    *("MIME-Version", "Mime-Version", "Return-Path", "Received", "References", "In-Reply-To"),
    *("Followup-To", "Delivered-To", "Distribution", "Path", "Xref", "User-Agent"),
)
# By the field that it stands for: its names in other languages.
SHOWN_AS: dict[str, tuple[str, ...]] = {
    "From": ("Von", "De", "Da", "Van", "Från", "Fra", "Od"),
    "To": ("An", "À", "Para", "Aan", "Till", "Til", "Do"),
    "Subject": (
        *("Betreff", "Betr", "Objet", "Asunto", "Oggetto", "Onderwerp", "Assunto", "Ämne"),
        *("Emne", "Temat"),
    ),
    "Date": ("Datum", "Fecha", "Data", "Dato"),
    "Sent": (
        "Gesendet",
        "Envoyé",
        "Enviado",
        "Enviada",
        "Inviato",
        "Verzonden",
        "Skickat",
        "Sendt",
    ),
    "Cc": ("Kopie", "Copie", "Copia", "Kopia", "Kopi"),
}
MEANT = {shown: field for field, names in SHOWN_AS.items() for shown in names}
