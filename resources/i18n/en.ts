<?xml version="1.0" encoding="utf-8"?>
<!DOCTYPE TS>
<TS version="2.1" language="en" sourcelanguage="en">
 <context>
  <name>AlarmLine</name>
  <message numerus="yes">
   <source>%n more alarms</source>
   <translation>
    <numerusform>%n more alarm</numerusform>
    <numerusform>%n more alarms</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>AlarmRow</name>
  <message numerus="yes">
   <source>{title}, and %n more</source>
   <translation>
    <numerusform>{title}, and %n more</numerusform>
    <numerusform>{title}, and %n more</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>AnswerCard</name>
  <message numerus="yes">
   <source>%n drops</source>
   <translation>
    <numerusform>%n drop</numerusform>
    <numerusform>%n drops</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>AnswersPage</name>
  <message numerus="yes">
   <source>%n allergens to print</source>
   <translation>
    <numerusform>%n allergen to print</numerusform>
    <numerusform>%n allergens to print</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>%n steps to the finished tins</source>
   <translation>
    <numerusform>%n step to the finished tins</numerusform>
    <numerusform>%n steps to the finished tins</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>BatchList</name>
  <message numerus="yes">
   <source>{found} of %n batches</source>
   <translation>
    <numerusform>{found} of %n batch</numerusform>
    <numerusform>{found} of %n batches</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>FinishedPage</name>
  <message numerus="yes">
   <source>%n tins</source>
   <translation>
    <numerusform>%n tin</numerusform>
    <numerusform>%n tins</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>and %n more in the record</source>
   <translation>
    <numerusform>and %n more in the record</numerusform>
    <numerusform>and %n more in the record</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>LessonsBar</name>
  <message numerus="yes">
   <source>%n new batches to learn from: they say how fast your jugs cool and how your stove or oven heats.</source>
   <translation>
    <numerusform>%n new batch to learn from: it says how fast your jugs cool and how your stove or oven heats.</numerusform>
    <numerusform>%n new batches to learn from: they say how fast your jugs cool and how your stove or oven heats.</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>NeedPanel</name>
  <message numerus="yes">
   <source>%n drops</source>
   <translation>
    <numerusform>%n drop</numerusform>
    <numerusform>%n drops</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>ScentPanel</name>
  <message numerus="yes">
   <source>Room for {mass} more, %n drops to be sure, up to the limit: {limit}.</source>
   <translation>
    <numerusform>Room for {mass} more, %n drop to be sure, up to the limit: {limit}.</numerusform>
    <numerusform>Room for {mass} more, %n drops to be sure, up to the limit: {limit}.</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>SkinPage</name>
  <message numerus="yes">
   <source>Show all %n limits</source>
   <translation>
    <numerusform>Show the only limit</numerusform>
    <numerusform>Show all %n limits</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>StepsPage</name>
  <message numerus="yes">
   <source>%n steps</source>
   <translation>
    <numerusform>%n step</numerusform>
    <numerusform>%n steps</numerusform>
   </translation>
  </message>
 </context>
 <context>
  <name>WordsPanel</name>
  <message numerus="yes">
   <source>%n batches have this code; the newest is shown.</source>
   <translation>
    <numerusform>%n batch has this code.</numerusform>
    <numerusform>%n batches have this code; the newest is shown.</numerusform>
   </translation>
  </message>
  <message numerus="yes">
   <source>That is %n letters; {most} are kept. Make it shorter.</source>
   <translation>
    <numerusform>That is %n letter; {most} are kept. Make it shorter.</numerusform>
    <numerusform>That is %n letters; {most} are kept. Make it shorter.</numerusform>
   </translation>
  </message>
 </context>
</TS>
