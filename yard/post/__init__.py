"""Mail: written once in the transaction of what it tells about, delivered by the worker afterwards.

SMTP can't promise that a mail is delivered exactly once: a worker may be killed between the server's 'accepted' and
our note of it. So every mail has a Message-ID made from its key: a repeated delivery carries the same one, mail
programs show it once, and in a folder of files it lands on the same name.
"""

from yard.post.writing import Attachment, mail_send_again, mail_write

__all__ = ["Attachment", "mail_send_again", "mail_write"]
