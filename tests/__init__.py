"""Tests of planlint."""
