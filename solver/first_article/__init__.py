"""The first-article check: what a fitter measures on the first weldment, with nominal, tolerance and predicted error."""

from solver.first_article.article import first_article
from solver.first_article.measures import ArticleMeasure, ArticlePoint

__all__ = ["ArticleMeasure", "ArticlePoint", "first_article"]
