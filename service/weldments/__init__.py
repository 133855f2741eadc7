"""Weldments in the making: drafts of requests, edited step by step with words, whether they are complete yet or not."""
