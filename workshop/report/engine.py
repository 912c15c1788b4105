"""WeasyPrint, with what it changes for the whole process put back.

Importing it makes Pillow show pictures that are cut short as if they were whole, everywhere in the process; the
inspections' floor must go on refusing such photos.
"""

from PIL import ImageFile
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

ImageFile.LOAD_TRUNCATED_IMAGES = False

__all__ = ["CSS", "HTML", "FontConfiguration", "URLFetcher", "URLFetcherResponse"]
