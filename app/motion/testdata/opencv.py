#!/usr/bin/env python3
"""Flow of two frames by OpenCV's inverse search, on one thread, for benchmarks.

    opencv.py WIDTH HEIGHT PRESET RUNS < two frames of 8-bit luma > flow

The flow is WIDTH x HEIGHT pairs of float32 (dx, dy), little endian. The least time of
RUNS, in ms, goes to standard error.
"""
import sys
import time

import cv2
import numpy

width, height, runs = int(sys.argv[1]), int(sys.argv[2]), int(sys.argv[4])
presets = {
    "fast": cv2.DISOPTICAL_FLOW_PRESET_FAST,
    "medium": cv2.DISOPTICAL_FLOW_PRESET_MEDIUM,
}
cv2.setNumThreads(1)
data = numpy.frombuffer(sys.stdin.buffer.read(), numpy.uint8).reshape(2, height, width)
search = cv2.DISOpticalFlow_create(presets[sys.argv[3]])
times = []
for _ in range(runs):
    begin = time.perf_counter()
    flow = search.calc(data[0], data[1], None)
    times.append(1000 * (time.perf_counter() - begin))
print("%.1f" % min(times), file=sys.stderr)
sys.stdout.buffer.write(flow.astype("<f4").tobytes())
